package campaign

import (
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/problem"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/internal/spelling"
)

// What is wrong with a campaign file; see package problem.
type (
	// Problem is one thing in a campaign file that cannot be used as it stands.
	Problem = problem.Problem
	// Problems are all problems of one file, in the order of its lines.
	Problems = problem.Problems
)

// collector gathers problems while a file is read.
type collector struct {
	file    string
	list    Problems
	remarks []estimate.Warning
}

func (c *collector) add(line int, key, format string, args ...any) {
	c.list = append(c.list, &Problem{File: c.file, Line: line, Key: key, Message: fmt.Sprintf(format, args...)})
}

// err returns what was gathered, or nil.
func (c *collector) err() error {
	if len(c.list) == 0 {
		return nil
	}
	slices.SortStableFunc(c.list, func(a, b *Problem) int { return a.Line - b.Line })
	return c.list
}

func suggestion(got string, allowed []string) string { return spelling.Suggestion(got, allowed) }

func quoteAll(names []string) string { return spelling.QuoteAll(names) }
