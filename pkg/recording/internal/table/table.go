// Package table is where all readers end: the rows of a file in SI units and in
// the order of the file, with the account of what became of its lines.
package table

import (
	"math"
	"path/filepath"
	"slices"
	"sort"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Table is a file's rows in the order of the file, before their times are put
// in order. All readers end in one.
type Table struct {
	File     string
	Format   layout.Format
	Base     int64     // what time counts from, seconds since 1970; 0 undated
	Time     []float64 // seconds after base
	Columns  []Column
	Lines    LineMap
	Breaks   []int // rows before which a header was repeated
	Parts    []PartMark
	Foreign  int               // line of the first header with other columns; 0 for none
	Times    layout.TimeFormat // how the file gave them
	Zone     bool              // stamps are UTC
	Account  *account.Account
	Findings account.Detection
	Layout   layout.Layout
	Warnings Warnings
}

// Name is the file's name without its folder.
func (t *Table) Name() string { return filepath.Base(t.File) }

// Note keeps a finding.
func (t *Table) Note(property, value, reason string) {
	t.Findings.Findings = append(t.Findings.Findings, account.Finding{Property: property, Value: value, Reason: reason})
}

// Dated reports whether the times carry a date.
func (t *Table) Dated() bool { return t.Times.Dated() }

// PartMark is where a part begins.
type PartMark struct {
	Row    int
	Shift  float64
	Reason string
}

// Drop removes the rows that are listed in ascending order, keeping the
// others in place.
func (t *Table) Drop(rows []int) {
	if len(rows) == 0 {
		return
	}
	var lines LineMap
	to, next := rows[0], 0
	for from := range len(t.Time) {
		if next < len(rows) && rows[next] == from {
			next++
			continue
		}
		line := t.Lines.Of(from)
		if from >= rows[0] {
			t.Time[to] = t.Time[from]
			for i := range t.Columns {
				t.Columns[i].Values[to] = t.Columns[i].Values[from]
			}
			lines.Add(to, line)
			to++
		} else {
			lines.Add(from, line)
		}
	}
	for i, b := range t.Breaks {
		t.Breaks[i] = b - sort.SearchInts(rows, b)
	}
	for i, p := range t.Parts {
		t.Parts[i].Row = p.Row - sort.SearchInts(rows, p.Row)
	}
	t.Time = t.Time[:to]
	for i := range t.Columns {
		t.Columns[i].Values = t.Columns[i].Values[:to]
	}
	t.Lines = lines
}

// Reject drops rows for a reason and lists their lines.
func (t *Table) Reject(rows []int, reason string) {
	for _, r := range rows {
		t.Account.Rejects = append(t.Account.Rejects, account.Reject{Line: t.Lines.Of(r), Reason: reason})
	}
	t.Account.Read -= len(rows)
	t.Drop(rows)
}

// Blank makes a cell missing and counts why.
func (t *Table) Blank(column, row int, reason string) {
	c := &t.Columns[column]
	c.Values[row] = math.NaN()
	c.Tallies.Count(reason, nil, t.Lines.Of(row))
}

// SortRejects puts rejects in order of their lines.
func SortRejects(r []account.Reject) {
	slices.SortStableFunc(r, func(a, b account.Reject) int { return a.Line - b.Line })
}
