package detect

import (
	"bytes"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Result is what detection hands over: how to read the rows, and what to say
// about it.
type Result struct {
	Plan      *plan.Plan
	Layout    layout.Layout // complete
	Detection account.Detection
	Warnings  table.Warnings
	Rows      int // about how many there are
	// Start is the instant, in seconds after 1970, from which elapsed times
	// count; 0 where the file does not say.
	Start int64
}

func (d *detector) result() *Result {
	return &Result{Plan: d.plan(), Layout: d.complete(), Detection: d.Findings, Warnings: d.warnings, Start: d.start,
		Rows: int(float64(d.Src.Size) / max(1, d.Sample.BytesPerLine))}
}

// plan returns the plan for what has been found so far.
func (d *detector) plan() *plan.Plan {
	p := &plan.Plan{Delim: d.Delim, Decimal: d.Decimal, Fields: d.Fields, First: d.First,
		Clock: d.clock, Columns: d.columns, Header: map[string]bool{}, Sentinels: map[string]bool{}}
	for _, l := range d.Sample.Lines[:d.First] {
		if t := string(bytes.TrimSpace(l.Text)); t != "" {
			p.Header[t] = true
		}
	}
	p.FullRows = d.fullRows()
	if d.Least > 0 && d.endsUnmeasured() {
		p.Least = d.Least
	}
	p.Damaged = d.Damaged
	p.Names, p.TimeAt = d.Header, max(d.clock.Stamp, d.clock.Clock, d.clock.Value)
	for _, s := range d.Layout.Sentinels {
		p.Sentinels[strings.ToLower(strings.TrimSpace(s))] = true
	}
	return p
}

// endsUnmeasured reports whether the columns that most rows end before hold no
// quantity of the drive's: a serial number, a remark, the logger's battery.
func (d *detector) endsUnmeasured() bool {
	return !slices.ContainsFunc(d.columns, func(c plan.Column) bool {
		return c.Number > d.Least && c.Content != layout.HoldsNumber && c.Content != layout.HoldsVoltage
	})
}

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
		k := d.Evidence[c.Number-1].Count[cell.Empty]
		if k < empty || (i == 0 && k > 0) {
			return false
		}
		empty = k
		if c.Content != layout.HoldsTemperature || c.Unit != d.columns[0].Unit || c.UnitAt != 0 {
			return false
		}
	}
	e := d.Evidence[d.columns[n-1].Number-1]
	return 5*e.Count[cell.Empty] < len(e.Values)
}
