package detect

import (
	"bytes"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// fullRows reports whether padding can be told: all columns are temperatures
// in one unit, and cells are empty seldom and only at the ends of rows; a file
// with empty cells elsewhere leaves them where they belong.
func (d *detector) fullRows() bool {
	n := len(d.columns)
	if n < 2 {
		return false
	}
	empty := 0 // in the column before
	for i, c := range d.columns {
		k := d.evidence[c.Number-1].count[cell.Empty]
		if k < empty || (i == 0 && k > 0) {
			return false
		}
		empty = k
		if c.Content != layout.HoldsTemperature || c.Unit != d.columns[0].Unit || c.UnitAt != 0 {
			return false
		}
	}
	e := d.evidence[d.columns[n-1].Number-1]
	return 5*e.count[cell.Empty] < len(e.values)
}

// Result is what detection hands over: how to read the rows, and what to say
// about it.
type Result struct {
	Plan      *plan.Plan
	Layout    layout.Layout // complete
	Detection account.Detection
	Warnings  account.Warnings
	Rows      int // about how many there are
}

func (d *detector) result() *Result {
	return &Result{Plan: d.plan(), Layout: d.complete(), Detection: d.findings, Warnings: d.warnings,
		Rows: int(float64(d.src.Size) / max(1, d.sample.bytesPerLine))}
}

// plan returns the plan for what has been found so far.
func (d *detector) plan() *plan.Plan {
	p := &plan.Plan{Delim: d.delim, Decimal: d.decimal, Fields: d.fields, First: d.first,
		Clock: d.clock, Columns: d.columns, Header: map[string]bool{}, Sentinels: map[string]bool{}}
	for _, l := range d.sample.lines[:d.first] {
		if t := string(bytes.TrimSpace(l.text)); t != "" {
			p.Header[t] = true
		}
	}
	p.FullRows = d.fullRows()
	p.Names, p.TimeAt = d.header, max(d.clock.Stamp, d.clock.Clock, d.clock.Value)
	for _, s := range d.layout.Sentinels {
		p.Sentinels[strings.ToLower(strings.TrimSpace(s))] = true
	}
	return p
}
