package delimited

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// A row whose last cells are empty though the others' are not may have lost
// cells further left, and been filled up at its end. It is taken as it stands
// unless its values continue the row before far better when laid otherwise: by
// this much, and this many times.
const (
	paddedMargin = 10.0 // K, sum over the columns
	paddedRatio  = 3.0
)

// padded puts the values of such rows under other columns, or blanks them where
// it can't be told which. Done where all columns are temperatures in one unit
// and the last one is seldom empty.
func (g *gatherer) padded(b *block) {
	n := len(g.t.Columns)
	if !g.p.FullRows || n < 2 || n > 32 {
		return
	}
	var moved []int
	for row, v := range b.values[n-1] {
		if !math.IsNaN(v) || !g.emptyAt(b, n-1) {
			continue
		}
		if s := g.filledUp(b, row); len(s.values) > 0 {
			g.layAgain(b, row, s)
			moved = append(moved, s.line)
		}
	}
	if len(moved) > 0 {
		g.t.Account.Changes = append(g.t.Account.Changes, account.Change{Line: moved[0] + g.lines + 1, Rows: len(moved),
			What: "cells left out and the row filled up at its end; the others put under the columns where they continue the row before"})
	}
}

// filledUp returns the values of a row that continue the row before far better
// when laid otherwise; without values if they do not.
func (g *gatherer) filledUp(b *block, row int) shortRow {
	columns := g.t.Columns
	s := shortRow{row: row, line: int(b.rowLine[row])}
	here := 0.0
	last := make([]float64, len(columns))
	for j := range columns {
		last[j] = g.before(b, j, row)
		v := b.values[j][row]
		if math.IsNaN(v) {
			break
		}
		s.values = append(s.values, columns[0].Unit.FromSI(v))
		here += math.Abs(v - last[j])
	}
	if len(s.values) == 0 || !g.onlyFirst(b, row, len(s.values)) || math.IsNaN(here) {
		return shortRow{}
	}
	ways := layings(columns[0].Unit, s.values, last)
	if len(ways) == 0 || here-ways[0].cost < paddedMargin || here < paddedRatio*ways[0].cost {
		return shortRow{}
	}
	return s
}

// layAgain puts the values of a row where they fit, and blanks the others.
func (g *gatherer) layAgain(b *block, row int, s shortRow) {
	laid := g.fit(b, row, s)
	read := make([]float64, len(s.values))
	for j := range read {
		read[j] = b.values[j][row]
	}
	for j := range g.t.Columns {
		v := math.NaN()
		if laid != nil {
			v = nearest(laid[j], read)
		}
		if math.IsNaN(v) && !math.IsNaN(b.values[j][row]) {
			b.missing[j].Count("cell left out, columns shifted left", nil, s.line)
		}
		b.values[j][row] = v
	}
}

// nearest returns the one of values that lies next to v, so that a value that
// moves stays what it was to the last bit.
func nearest(v float64, values []float64) float64 {
	best := math.NaN()
	for _, x := range values {
		if math.IsNaN(best) || math.Abs(x-v) < math.Abs(best-v) {
			best = x
		}
	}
	if math.IsNaN(v) {
		return v
	}
	return best
}

// emptyAt reports whether the block has empty cells in a column at all.
func (g *gatherer) emptyAt(b *block, column int) bool {
	for _, m := range b.missing[column] {
		if m.Reason == table.MissEmpty {
			return true
		}
	}
	return false
}

// onlyFirst reports whether a row has values in its first k columns only.
func (g *gatherer) onlyFirst(b *block, row, k int) bool {
	for j := k; j < len(b.values); j++ {
		if !math.IsNaN(b.values[j][row]) {
			return false
		}
	}
	return true
}
