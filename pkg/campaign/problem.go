package campaign

import (
	"fmt"
	"slices"
	"strings"
)

// Problem is one thing in a campaign file that cannot be used as it stands.
type Problem struct {
	File    string
	Line    int
	Key     string // dotted, as "drive[2].file[1].path"; may be empty
	Message string
}

// Error returns the problem as "file:line: key: message".
func (p *Problem) Error() string {
	key := ""
	if p.Key != "" {
		key = p.Key + ": "
	}
	return fmt.Sprintf("%s:%d: %s%s", p.File, p.Line, key, p.Message)
}

// Problems are all problems of one file, in the order of its lines.
type Problems []*Problem

// Error lists all problems, one a line.
func (ps Problems) Error() string {
	if len(ps) == 1 {
		return ps[0].Error()
	}
	lines := []string{fmt.Sprintf("%d problems in the campaign file:", len(ps))}
	for _, p := range ps {
		lines = append(lines, "  "+p.Error())
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives each problem to errors.As.
func (ps Problems) Unwrap() []error {
	all := make([]error, len(ps))
	for i, p := range ps {
		all[i] = p
	}
	return all
}

// collector gathers problems while a file is read.
type collector struct {
	file string
	list Problems
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

// suggestion returns ` (did you mean "x"?)` for the nearest of the allowed
// names, or nothing where none is near.
func suggestion(got string, allowed []string) string {
	if len(got) > 60 {
		return "" // no misspelling; and the distance costs the square of the length
	}
	best, bestDistance := "", 1+min(len(got)/2, max(2, len(got)/3))
	for _, a := range allowed {
		if d := editDistance(fold(got), fold(a)); d < bestDistance {
			best, bestDistance = a, d
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf(" (did you mean %q?)", best)
}

// fold drops what people vary without meaning: case, and how words are joined.
func fold(s string) string {
	return strings.NewReplacer("_", "-", " ", "-").Replace(strings.ToLower(s))
}

// editDistance is the number of letters to insert, delete, replace or swap
// with their neighbour (optimal string alignment distance).
func editDistance(a, b string) int {
	x, y := []rune(a), []rune(b)
	var before []int
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(x); i++ {
		next := make([]int, len(y)+1)
		next[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			next[j] = min(row[j]+1, next[j-1]+1, row[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				next[j] = min(next[j], before[j-2]+1)
			}
		}
		before, row = row, next
	}
	return row[len(y)]
}

func quoteAll(names []string) string {
	q := make([]string, len(names))
	for i, n := range names {
		q[i] = fmt.Sprintf("%q", n)
	}
	return strings.Join(q, ", ")
}
