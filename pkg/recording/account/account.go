// Package account holds what is said of a file besides its values: what became
// of every line ([Account]), why it was read so ([Detection]), what to look at
// before trusting it, and the errors that a person with the file can act on.
// Package recording gives its types their short names.
package account

import (
	"fmt"
	"strings"
)

// Account says what became of every line of a file:
//
//	Lines = Read + Header + Blank + Other + len(Rejects)
type Account struct {
	// Unit is what Lines counts: "lines", "track points" or "sheet rows".
	Unit string
	// Lines is the number of lines in the file.
	Lines int
	// Read is the number of lines whose values were kept.
	Read int
	// Header is the number of lines of preamble, names and units, wherever
	// they stand.
	Header int
	// Blank is the number of empty lines.
	Blank int
	// Other is the number of lines that carry nothing to read: sentences of
	// other kinds, waypoints beside a track.
	Other int
	// Rejects lists the lines that were not used, in order.
	Rejects []Reject
	// Missing lists cells without a usable value in lines that were read.
	Missing []Missing
	// Changes lists what was changed to make times ascend and values true.
	Changes []Change
}

// Reject is a line that was not used.
type Reject struct {
	Line   int    // counts from 1
	Reason string // what was wrong with it
	Text   string // the line itself, cut if long
}

// Missing counts the cells of one column that hold no usable value, for one
// reason.
type Missing struct {
	Column    string
	Reason    string
	Cells     int
	FirstLine int
}

// Change is something that was done to rows that were kept.
type Change struct {
	Line int    // first line that it touches; 0 where it touches all
	Rows int    // number of rows that it touches
	What string // such as "midnight: 24 h added"
}

// Balanced reports whether every line is accounted for.
func (a *Account) Balanced() bool {
	return a.Lines == a.Read+a.Header+a.Blank+a.Other+len(a.Rejects)
}

// MissingCells returns the number of cells without a usable value.
func (a *Account) MissingCells() int {
	n := 0
	for _, m := range a.Missing {
		n += m.Cells
	}
	return n
}

// reasons counts the rejects by reason, in order of first appearance.
func (a *Account) reasons() (order []string, count, first map[string]int) {
	count, first = map[string]int{}, map[string]int{}
	for _, r := range a.Rejects {
		if count[r.Reason] == 0 {
			order = append(order, r.Reason)
			first[r.Reason] = r.Line
		}
		count[r.Reason]++
	}
	return order, count, first
}

// String returns the account as a short table.
func (a *Account) String() string {
	var b strings.Builder
	row := func(n int, what string) {
		if n > 0 {
			fmt.Fprintf(&b, "%9d  %s\n", n, what)
		}
	}
	fmt.Fprintf(&b, "%9d  %s, of which\n", a.Lines, a.Unit)
	row(a.Read, "read")
	row(a.Header, "header")
	row(a.Blank, "blank")
	row(a.Other, "of other kinds")
	order, count, first := a.reasons()
	for _, reason := range order {
		row(count[reason], fmt.Sprintf("rejected: %s (first at line %d)", reason, first[reason]))
	}
	if n := a.MissingCells(); n > 0 {
		fmt.Fprintf(&b, "%9d  missing cells in lines that were read, of which\n", n)
		for _, m := range a.Missing {
			row(m.Cells, fmt.Sprintf("%s: %s (first at line %d)", m.Column, m.Reason, m.FirstLine))
		}
	}
	for _, c := range a.Changes {
		if c.Line == 0 {
			fmt.Fprintf(&b, "  changed: %s\n", c.What)
			continue
		}
		fmt.Fprintf(&b, "  changed: line %d: %s (%d rows)\n", c.Line, c.What, c.Rows)
	}
	return b.String()
}

// List returns every rejected line with its number, reason and text.
func (a *Account) List() string {
	var b strings.Builder
	for _, r := range a.Rejects {
		fmt.Fprintf(&b, "line %d: %s: %s\n", r.Line, r.Reason, r.Text)
	}
	return b.String()
}
