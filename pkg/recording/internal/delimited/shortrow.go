package delimited

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// place decides for rows with too few cells which columns are missing: the
// values there are, in order, are laid on the columns so that they come
// closest to the row before. Where several ways are nearly as close, only the
// columns are filled on which they agree; without any, the row is rejected.
//
// Done for columns of temperature only, all in one unit; anything else is
// rejected, since closeness between unlike quantities means nothing.
func (g *gatherer) place(b *block) {
	var rows []shortRow
	kept := 0
	for _, s := range b.short {
		at := s.row + kept
		values := g.fit(b, at, s)
		if values == nil {
			b.rejects = append(b.rejects, account.Reject{Line: s.line, Reason: s.reason, Text: s.text})
			continue
		}
		rows = append(rows, s)
		kept++
		b.time = insert(b.time, at, s.time)
		b.rowLine = insert(b.rowLine, at, int32(s.line))
		for i, v := range values {
			b.values[i] = insert(b.values[i], at, v)
			if math.IsNaN(v) {
				b.missing[i].Count("cell left out, columns shifted left", nil, s.line)
			}
		}
		for i := range b.breaks {
			if b.breaks[i] > at {
				b.breaks[i]++
			}
		}
	}
	table.SortRejects(b.rejects)
	if kept > 0 {
		g.t.Account.Changes = append(g.t.Account.Changes, account.Change{Line: rows[0].line + g.lines + 1, Rows: kept,
			What: "cells left out without placeholder; the others put under the columns where they continue the row before"})
	}
}

// fit returns the values in their columns, or nil.
func (g *gatherer) fit(b *block, at int, s shortRow) []float64 {
	columns := g.p.Columns
	n, k := len(columns), len(s.values)
	if k == 0 || k >= n || n > 32 {
		return nil
	}
	last := make([]float64, n)
	for i, c := range columns {
		if c.Content != layout.HoldsTemperature || c.Unit != columns[0].Unit || c.UnitAt != 0 {
			return nil
		}
		last[i] = g.before(b, i, at)
	}
	ways := layings(columns[0].Unit, s.values, last)
	if len(ways) == 0 {
		return nil
	}
	// Ways that are nearly as good as the best: by less than 2 K or a factor of
	// 3. A column is filled where all of them put the same value into it.
	near := 1
	for near < len(ways) && (ways[near].cost-ways[0].cost < 2 || ways[near].cost < 3*ways[0].cost) {
		near++
	}
	if near == keptWays {
		return nil
	}
	out := make([]float64, n)
	sure := 0
	for j := range out {
		out[j] = math.NaN()
		m := ways[0].valueAt(j)
		for _, w := range ways[1:near] {
			if w.valueAt(j) != m {
				m = -1
			}
		}
		if m < 0 {
			continue
		}
		sure++
		if v := columns[0].Unit.SI(s.values[m]); !cell.IsSentinelNumber(s.values[m]) && table.Measurable(layout.HoldsTemperature, v) {
			out[j] = v
		}
	}
	if sure == 0 {
		return nil
	}
	return out
}

func insert[T any](s []T, at int, v T) []T {
	s = append(s, v)
	copy(s[at+1:], s[at:])
	s[at] = v
	return s
}
