package delimited

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// before returns the last value of a column before row at of the block.
func (g *gatherer) before(b *block, column, at int) float64 {
	for i := at - 1; i >= 0; i-- {
		if v := b.values[column][i]; !math.IsNaN(v) {
			return v
		}
	}
	all := g.t.Columns[column].Values
	for i := len(all) - 1; i >= 0 && i > len(all)-100; i-- {
		if !math.IsNaN(all[i]) {
			return all[i]
		}
	}
	return math.NaN()
}

// gatherer puts blocks together.
type gatherer struct {
	t     *table.Table
	p     *plan.Plan
	lines int // before the current block
	// foreign is the line of the header with other names that the rows stand
	// under, 0 where they stand under the file's own.
	foreign int
}

// take appends a block to the table.
func (g *gatherer) take(b *block) {
	t, a := g.t, g.t.Account
	base := g.lines + 1
	offset := len(t.Time)
	if b.chunk.Nuls > 0 {
		t.Warnings.Add(account.LostReadings, t.File, fmt.Sprintf("%d NUL bytes before line %d were skipped", b.chunk.Nuls, base))
	}
	if len(b.short) > 0 {
		g.place(b)
	}
	g.padded(b)
	g.dropForeign(b)
	if g.p.Clock.Format == layout.ByInterval {
		for i := range b.time {
			b.time[i] = float64(offset+i) * g.p.Clock.Factor
		}
	}
	t.Time = append(t.Time, b.time...)
	for i := range t.Columns {
		t.Columns[i].Values = append(t.Columns[i].Values, b.values[i]...)
		for _, m := range b.missing[i] {
			t.Columns[i].Tallies.Merge(m, base)
		}
	}
	for i, l := range b.rowLine {
		t.Lines.Add(offset+i, base+int(l))
	}
	for _, r := range b.breaks {
		t.Breaks = append(t.Breaks, offset+r)
	}
	for _, r := range b.rejects {
		r.Line += base
		a.Rejects = append(a.Rejects, r)
	}
	a.Lines += b.lines
	a.Read += len(b.time)
	a.Header += b.header
	a.Blank += b.blank
	g.lines += b.lines
}
