package repair

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
)

// powerOnValue is what a common digital sensor holds before its first conversion
// (85 °C, from data sheets of such parts).
var powerOnValue = quantity.Celsius(85).Kelvin()

// beforeFirst is what converters of loggers show before their first conversion:
// the temperature at which they are calibrated. Common practice, no source.
var beforeFirst = quantity.Celsius(25).Kelvin()

// powerOn blanks what a probe says before it has measured: zeros and the value
// of a sensor just switched on, at the beginning of a part, from which those
// that follow are far; the latter also where it stands alone.
func powerOn(t *table.Table, probes []int, jumps [][]int) {
	if t.Layout.KeepSpikes {
		return
	}
	for k, p := range t.Parts {
		end := len(t.Time)
		if k+1 < len(t.Parts) {
			end = t.Parts[k+1].Row
		}
		blankZeros(t, probes, p.Row, end)
		for _, i := range probes {
			blankFirst(t, i, p.Row, end)
		}
	}
	for n, i := range probes {
		v := t.Columns[i].Values
		for _, r := range jumps[n] {
			if r+1 < len(v) && isPowerOn(v[r]) && math.Abs(v[r-1]-v[r]) > mostStep && math.Abs(v[r+1]-v[r]) > mostStep && math.Abs(v[r+1]-v[r-1]) < calm {
				t.Blank(i, r, table.MissPowerOn)
			}
		}
	}
}

func isPowerOn(v float64) bool { return math.Abs(v-powerOnValue) < 0.02 }

// blankFirst blanks equal readings at the beginning of rows from to end.
func blankFirst(t *table.Table, column, from, end int) {
	v := t.Columns[column].Values
	if from >= end || math.IsNaN(v[from]) {
		return
	}
	k := from + 1
	for k < end && v[k] == v[from] {
		k++
	}
	const shown = 3 // of the rows that must agree with each other
	if end-k < shown {
		return
	}
	lo, hi, far := math.Inf(1), math.Inf(-1), math.Inf(1)
	for _, x := range v[k : k+shown] {
		lo, hi, far = min(lo, x), max(hi, x), min(far, math.Abs(x-v[from]))
	}
	if math.IsNaN(lo + hi) {
		return
	}
	zero := v[from] == t.Columns[column].Unit.SI(0)
	blankRows(t, column, from, k, beforeMeasuring(v[from], zero, k-from, t.Time[k]-t.Time[k-1], far, hi-lo < calm))
}

// beforeMeasuring says why a value that stands in the first rows is none: so many
// rows, the next after wait seconds, those that follow at least so far from it in K
// and calm or not. Empty where it may be one.
func beforeMeasuring(v float64, zero bool, rows int, wait, far float64, calm bool) string {
	switch {
	case isPowerOn(v) && rows <= 30 && wait <= 120 && far > mostStep:
		return table.MissPowerOn
	case zero && rows <= 3 && wait <= spikeStep && far > spikeTemperature && calm:
		return table.MissFirst
	case rows == 1 && wait <= 5 && far > 2*spikeTemperature && calm: // no probe falls so far and rests at once
		return table.MissAlone
	}
	return ""
}

// blankRows blanks rows for a reason, none where there is none.
func blankRows(t *table.Table, column, from, to int, reason string) {
	for r := from; r < to && reason != ""; r++ {
		t.Blank(column, r, reason)
	}
}

// blankZeros blanks zeros at the beginning of rows from to end where all probes
// have them, and then none: none had measured. So it is with 25 °C in the first
// row alone where three probes or more have it.
func blankZeros(t *table.Table, probes []int, from, end int) {
	if len(probes) < 2 {
		return
	}
	value, most := equalFirst(t, probes, from, end)
	all := func(r int, zero bool) bool {
		for _, i := range probes {
			c := t.Columns[i]
			if (math.Abs(c.Values[r]-c.Unit.SI(value)) < 1e-6) != zero || math.IsNaN(c.Values[r]) || !zero && math.Abs(c.Values[r]-c.Values[from]) < calm {
				return false
			}
		}
		return true
	}
	k := from
	for k < end && k-from <= most && all(k, true) {
		k++
	}
	if k == from || k-from > most || k+1 >= end || !all(k, false) || value == 0 && !all(k+1, false) || t.Time[k]-t.Time[k-1] > spikeStep {
		return
	}
	for _, i := range probes {
		blankRows(t, i, from, k, table.MissFirst)
	}
}

// equalFirst is the number that all probes may have before they have measured,
// and in how many rows.
func equalFirst(t *table.Table, probes []int, from, end int) (value float64, most int) {
	if c := t.Columns[probes[0]]; from < end && len(probes) > 2 && math.Abs(c.Values[from]-beforeFirst) < 1e-6 {
		return c.Unit.FromSI(beforeFirst), 1
	}
	return 0, 3
}

// doubtful warns of temperatures that are not those of a car in °C, which the
// file says, and would be in another unit.
func doubtful(t *table.Table, probes []int) {
	lo, hi, whole, n := math.Inf(1), math.Inf(-1), true, 0
	for _, i := range probes {
		c := t.Columns[i]
		if heading.IsExhaust(c.Name) || c.Unit != unit.Celsius {
			continue
		}
		every := 1 + len(c.Values)/5000
		for r := 0; r < len(c.Values); r += every {
			if v := c.Values[r]; !math.IsNaN(v) {
				x := unit.Celsius.FromSI(v)
				lo, hi, n = min(lo, x), max(hi, x), n+1
				whole = whole && math.Abs(x-math.Round(x)) < 1e-6
			}
		}
	}
	var as *unit.Unit
	switch {
	case n < 10:
		return
	case lo > 110 && whole && hi > 130:
		as = unit.TenthCelsius
	case lo > 250 && hi < 450 && !whole:
		as = unit.Kelvin
	case lo > 52 && hi > 130 && hi < 260:
		as = unit.Fahrenheit
	default:
		return
	}
	t.Warnings.Add(estimate.Ambiguous, t.Name(), fmt.Sprintf("the coldest temperature is %.0f %s; as %s they would be %.0f to %.0f °C: if that is meant, set the unit under [[columns]]",
		lo, unit.Celsius.Name, as.Name, unit.Celsius.FromSI(as.SI(lo)), unit.Celsius.FromSI(as.SI(hi))))
}
