// Package problem says what is wrong with a campaign file. Package campaign
// gives its types their names there.
package problem

import (
	"fmt"
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
