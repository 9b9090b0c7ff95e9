package repair

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/words"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// probes are the columns of temperature whose rows are all their own.
func probes(t *table.Table) []int {
	var all []int
	for i, c := range t.Columns {
		if c.Content == layout.HoldsTemperature && !c.Derived && c.Own == nil && c.Unit != nil {
			all = append(all, i)
		}
	}
	return all
}

// calm is how far in kelvin a probe may move from one row to the next where
// the numbers are compared on both sides of a step, and most is what passes for
// a step that no probe makes. Common practice, no source.
const (
	calm     = 3.0
	mostStep = 10.0
	// longestStep in seconds is the pause after which a step means nothing.
	longestStep = 600.0
)

// around returns the medians of the last values before row r and of the first
// from it on; NaN where there are none near.
func around(t *table.Table, column, r int) (before, after float64) {
	const look = 5
	v := t.Columns[column].Values
	near := func(from, to int) float64 {
		var some []float64
		for i := max(0, from); i < min(len(v), to); i++ {
			if !math.IsNaN(v[i]) {
				some = append(some, v[i])
			}
		}
		if len(some) == 0 {
			return math.NaN()
		}
		return table.Median(some)
	}
	return near(r-look, r), near(r, r+look)
}

// jumps lists the rows at which values leave the one before by more than
// mostStep.
func jumps(v []float64) []int {
	var rows []int
	last := math.NaN()
	for r, x := range v {
		if math.Abs(x-last) > mostStep {
			rows = append(rows, r)
		}
		last = x
	}
	return rows
}

// steps lists the rows at which some probe jumps from a value that is still
// there, unless the row before is long past.
func steps(t *table.Table, probes []int, jumps [][]int) []int {
	var rows []int
	for n, i := range probes {
		v := t.Columns[i].Values
		for _, r := range jumps[n] {
			if math.Abs(v[r]-v[r-1]) > mostStep && t.Time[r]-t.Time[r-1] <= longestStep {
				rows = append(rows, r)
			}
		}
	}
	slices.Sort(rows)
	return slices.Compact(rows)
}

// Probes looks at the temperatures for what no probe measures, and for what a
// logger does to all or two of them at once. All of it shows in jumps, for
// which the values are gone through once.
func Probes(t *table.Table) {
	cols := probes(t)
	all := make([][]int, len(cols))
	for n, i := range cols {
		all[n] = jumps(t.Columns[i].Values)
	}
	powerOn(t, cols, all)
	rows := steps(t, cols, all)
	unitSwitch(t, cols, rows)
	swaps(t, cols, rows)
	doubtful(t, cols)
	hasty(t, cols)
}

// unitSwitch finds the rows from which on all temperatures stand in the other
// unit, °F for °C or back, as a button of the logger does it: each probe's
// numbers continue those before only when converted. It brings the stretch that
// is not in the file's unit into it, and warns.
func unitSwitch(t *table.Table, cols, steps []int) {
	if len(cols) == 0 || len(t.Time) < 12 || len(cols) == 1 && table.TypicalStep(t.Time) > spikeStep {
		return
	}
	u := t.Columns[cols[0]].Unit
	other := map[*unit.Unit]*unit.Unit{unit.Celsius: unit.Fahrenheit, unit.Fahrenheit: unit.Celsius}[u]
	if other == nil || slices.ContainsFunc(cols, func(i int) bool { return t.Columns[i].Unit != u }) {
		return
	}
	switched, from, first, rows := false, 0, 0, 0
	convert := func(to int) {
		for _, i := range cols {
			v := t.Columns[i].Values
			for r := from; r < to; r++ {
				v[r] = other.SI(u.FromSI(v[r]))
			}
		}
		rows += to - from
	}
	for _, r := range steps {
		a, b := u, other
		if switched {
			a, b = other, u
		}
		in := func(x *unit.Unit) func(float64) float64 {
			return func(v float64) float64 { return x.SI(u.FromSI(v)) }
		}
		switch {
		case continues(t, cols, r, in(a), in(b)):
			if switched {
				convert(r)
			}
			switched, from = !switched, r
		case rows == 0 && !switched && continues(t, cols, r, in(b), in(a)): // began in the other
			convert(r)
		default:
			continue
		}
		if first == 0 {
			first = r
		}
	}
	if switched {
		convert(len(t.Time))
	}
	if rows == 0 {
		return
	}
	line := t.Lines.Of(first)
	t.Account.Changes = append(t.Account.Changes, account.Change{Line: line, Rows: rows, What: fmt.Sprintf("the temperatures go on in %s here: read so", other.Name)})
	t.Warnings.Add(account.UnitAssumed, t.Name(), fmt.Sprintf("line %d: all temperatures step as if the logger had been switched from %s to %s; %s read in %s", line, u.Name, other.Name, words.Plural(rows, "row"), other.Name))
}

// continues reports whether, at row r, no probe's numbers continue those before
// as they stand, and all do when those before are read by a and those from r on
// by b.
func continues(t *table.Table, cols []int, r int, a, b func(float64) float64) bool {
	some := false
	for _, i := range cols {
		before, after := around(t, i, r)
		if math.IsNaN(before) || math.IsNaN(after) {
			continue
		}
		if math.Abs(a(after)-a(before)) < mostStep || math.Abs(b(after)-a(before)) > calm {
			return false
		}
		some = true
	}
	return some
}

// swaps finds rows from which on two probes have each other's values, as a
// logger does that numbers its channels anew after a restart. It puts them back
// under the names they had, and warns.
func swaps(t *table.Table, cols, steps []int) {
	if t.Layout.KeepSwaps {
		return
	}
	for _, r := range steps {
		for n, i := range cols {
			for _, k := range cols[n+1:] {
				x, y := t.Columns[i].Values, t.Columns[k].Values
				if math.Abs(x[r]-y[r-1]) > 2*calm || math.Abs(y[r]-x[r-1]) > 2*calm {
					continue // spares most rows the medians
				}
				a, a2 := around(t, i, r)
				b, b2 := around(t, k, r)
				if t.Columns[i].Unit != t.Columns[k].Unit || !(math.Abs(a-b) > mostStep && math.Abs(a2-b) < calm && math.Abs(b2-a) < calm) {
					continue
				}
				for q := r; q < len(x); q++ {
					x[q], y[q] = y[q], x[q]
				}
				line := t.Lines.Of(r)
				t.Account.Changes = append(t.Account.Changes, account.Change{Line: line, Rows: len(x) - r, What: fmt.Sprintf("%q and %q have each other's values from here on: put back", t.Columns[i].Name, t.Columns[k].Name)})
				t.Warnings.Add(estimate.Disagreement, t.Name(), fmt.Sprintf("line %d: %q and %q go on with each other's values; they are put back under the names they began with (keep_swaps leaves them)", line, t.Columns[i].Name, t.Columns[k].Name))
			}
		}
	}
}
