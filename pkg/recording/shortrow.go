package recording

import (
	"fmt"
	"math"
	"slices"
)

// place decides for rows with too few cells which columns are missing: the
// values there are, in order, are laid on the columns so that they come
// closest to the row before. A row is kept if one way is clearly closer than
// all others, otherwise rejected.
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
			b.rejects = append(b.rejects, Reject{s.line, s.reason, s.text})
			continue
		}
		rows = append(rows, s)
		kept++
		b.time = insert(b.time, at, s.time)
		b.rowLine = insert(b.rowLine, at, int32(s.line))
		for i, v := range values {
			b.values[i] = insert(b.values[i], at, v)
			if math.IsNaN(v) {
				b.missing[i].count("cell left out, columns shifted left", nil, s.line)
			}
		}
		for i := range b.breaks {
			if b.breaks[i] > at {
				b.breaks[i]++
			}
		}
	}
	sortRejects(b.rejects)
	if kept > 0 {
		g.t.account.Changes = append(g.t.account.Changes, Change{Line: rows[0].line + g.lines + 1, Rows: kept,
			What: "cells left out without placeholder; the others put under the columns where they continue the row before"})
	}
}

// fit returns the values in their columns, or nil.
func (g *gatherer) fit(b *block, at int, s shortRow) []float64 {
	columns := g.t.columns
	n, k := len(columns), len(s.values)
	if k == 0 || k >= n || n > 32 {
		return nil
	}
	last := make([]float64, n)
	for i, c := range columns {
		if c.content != HoldsTemperature || c.unit != columns[0].unit || c.unitAt != 0 {
			return nil
		}
		last[i] = g.before(b, i, at)
	}
	// cost[j] lists the two cheapest ways to lay the values seen so far on the
	// columns up to j.
	type way struct {
		cost float64
		used uint32
	}
	best := map[int][]way{0: {{0, 0}}} // by number of values laid
	for j := range n {
		next := map[int][]way{}
		add := func(m int, w way) {
			ways := append(next[m], w)
			for i := len(ways) - 1; i > 0 && ways[i].cost < ways[i-1].cost; i-- {
				ways[i], ways[i-1] = ways[i-1], ways[i]
			}
			next[m] = ways[:min(2, len(ways))]
		}
		for m, ways := range best {
			for _, w := range ways {
				add(m, w)
				if m < k {
					c := math.Abs(columns[0].unit.si(s.values[m]) - last[j])
					if math.IsNaN(c) {
						c = 20 // nothing to compare with
					}
					add(m+1, way{w.cost + c, w.used | 1<<j})
				}
			}
		}
		best = next
	}
	ways := best[k]
	if len(ways) == 0 {
		return nil
	}
	// Clearly closer: by 2 K and by a factor of 3.
	if len(ways) > 1 && (ways[1].cost-ways[0].cost < 2 || ways[1].cost < 3*ways[0].cost) {
		return nil
	}
	out := make([]float64, n)
	m := 0
	for j := range out {
		out[j] = math.NaN()
		if ways[0].used&(1<<j) != 0 {
			if v := columns[0].unit.si(s.values[m]); !isSentinelNumber(s.values[m]) && measurable(HoldsTemperature, v) {
				out[j] = v
			}
			m++
		}
	}
	return out
}

// before returns the last value of a column before row at of the block.
func (g *gatherer) before(b *block, column, at int) float64 {
	for i := at - 1; i >= 0; i-- {
		if v := b.values[column][i]; !math.IsNaN(v) {
			return v
		}
	}
	all := g.t.columns[column].values
	for i := len(all) - 1; i >= 0 && i > len(all)-100; i-- {
		if !math.IsNaN(all[i]) {
			return all[i]
		}
	}
	return math.NaN()
}

func insert[T any](s []T, at int, v T) []T {
	s = append(s, v)
	copy(s[at+1:], s[at:])
	s[at] = v
	return s
}

func sortRejects(r []Reject) {
	slices.SortStableFunc(r, func(a, b Reject) int { return a.Line - b.Line })
}

// describe says a tally in words.
func (m tally) describe() string {
	if m.word == "" {
		return m.reason
	}
	return fmt.Sprintf("%s: %q", m.reason, decodeText([]byte(m.word)))
}
