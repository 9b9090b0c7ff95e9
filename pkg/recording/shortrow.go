package recording

import (
	"fmt"
	"math"
	"math/bits"
	"slices"
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
	columns := g.p.columns
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
	ways := layings(columns[0].unit, s.values, last)
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
		if v := columns[0].unit.si(s.values[m]); !isSentinelNumber(s.values[m]) && measurable(HoldsTemperature, v) {
			out[j] = v
		}
	}
	if sure == 0 {
		return nil
	}
	return out
}

// keptWays is how many ways are followed at a time.
const keptWays = 8

// way is one way to lay values on columns: used has a bit for each column that
// gets one.
type way struct {
	cost float64
	used uint32
}

// valueAt returns the number of the value on column j, −1 for none.
func (w way) valueAt(j int) int {
	if w.used&(1<<j) == 0 {
		return -1
	}
	return bits.OnesCount32(w.used & (1<<j - 1))
}

// layings returns the cheapest ways to lay the values, in order, on columns
// whose last values are given; the cost is the sum of differences.
func layings(u *unit, values, last []float64) []way {
	best := make([][]way, len(values)+1) // by number of values laid
	best[0] = []way{{}}
	for j := range last {
		next := make([][]way, len(values)+1)
		add := func(m int, w way) {
			ways := append(next[m], w)
			for i := len(ways) - 1; i > 0 && ways[i].cost < ways[i-1].cost; i-- {
				ways[i], ways[i-1] = ways[i-1], ways[i]
			}
			next[m] = ways[:min(keptWays, len(ways))]
		}
		for m, ways := range best {
			for _, w := range ways {
				add(m, w)
				if m < len(values) {
					c := math.Abs(u.si(values[m]) - last[j])
					if math.IsNaN(c) {
						c = 20 // nothing to compare with
					}
					add(m+1, way{w.cost + c, w.used | 1<<j})
				}
			}
		}
		best = next
	}
	return best[len(values)]
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
