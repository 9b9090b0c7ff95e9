package delimited

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// take appends a block to the table.
func (g *gatherer) take(b *block) {
	t, a := g.t, g.t.Account
	base := g.lines + 1
	offset := len(t.Time)
	if b.chunk.Nuls > 0 {
		t.Warnings.Add(estimate.LostReadings, t.Name(), fmt.Sprintf("%d NUL bytes before line %d were skipped", b.chunk.Nuls, base))
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
