package pace

import (
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/numbers"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
)

// By how much a trace must change to tell anything, and in how many seconds it does
// where it does at all: a car gains or loses 36 km/h within a minute on any drive,
// not within a quarter of a second, and what warms by 20 K does so within 40 min.
// Common practice, no source.
const (
	swingSpeed, inSpeed, tooSoon = 10.0, 60.0, 0.25 // m/s, s, s
	inKelvin                     = 2400.0           // s
	shortest                     = 10.0             // s, of a record that shows a drive
)

// Telling in K is by how much a temperature must change to tell anything of its
// times, and TooFast in K/s how fast nothing but an exhaust changes over a whole
// record. Common practice, no source.
const (
	Telling = 20.0
	TooFast = 2.0
)

// timed is a trace with the seconds of its values.
type timed struct {
	Trace
	at []float64
}

// onto puts traces on their times, speeds first, which tell more. Where cells are
// missing the values are taken for evenly spread.
func (t Times) onto(traces []Trace, each float64) []timed {
	var all []timed
	for _, c := range traces {
		n, m := len(t.Values), len(c.Values)
		if m < 20 || n < 20 {
			continue
		}
		at := make([]float64, m)
		for i := range at {
			at[i] = t.Values[i*(n-1)/(m-1)] * each
		}
		all = append(all, timed{c, at})
	}
	slices.SortStableFunc(all, func(a, b timed) int {
		switch {
		case a.Speed == b.Speed:
			return 0
		case a.Speed:
			return -1
		}
		return 1
	})
	return all
}

// What a trace says of its times.
type telling int

const (
	nothing telling = iota
	fits
	never
)

// tells says whether the trace changes as it does in a car, and would as in none. Temperatures
// that stray for a row or few are left out; a speed that strays swings once. ratio is by how much shorter the times
// would be in the other unit.
func (c timed) tells(step, ratio float64) (telling, string) {
	swing, within, v := Telling, inKelvin, c.Values
	if c.Speed {
		swing, within = swingSpeed, max(inSpeed, 1.5*step)
	} else {
		v = smooth(v, 7)
	}
	lo, hi := numbers.Quantiles(v)
	if !(hi-lo >= swing) || !c.Speed && hi > Hottest {
		return nothing, ""
	}
	span := c.at[len(c.at)-1] - c.at[0]
	n := swings(c.at, v, swing, within)
	switch {
	case c.Speed && ratio < 1 && swings(c.at, v, swing, tooSoon) >= 3:
		return never, fmt.Sprintf("would change by %.0f km/h within %g s", unit.KmPerHour.FromSI(swing), tooSoon)
	case !c.Speed && ratio < 1 && hi-lo > TooFast*span:
		return never, fmt.Sprintf("would change by %.0f K in %.3g s", hi-lo, span)
	case n > 1 || n == 1 && !c.Speed:
		return fits, ""
	case n > 0 || ratio < 1 || span/ratio < shortest || c.Speed && swings(c.at, v, swing, tooSoon*ratio) > 0:
		return nothing, ""
	case c.Speed:
		return never, fmt.Sprintf("would never change by %.0f km/h within %.3g s", unit.KmPerHour.FromSI(swing), within)
	}
	return never, fmt.Sprintf("would never change by %g K within %g min", swing, within/60)
}

// smooth returns the running medians of so many values.
func smooth(v []float64, rows int) []float64 {
	out := make([]float64, len(v))
	window := make([]float64, 0, rows)
	for i := range v {
		window = append(window[:0], v[max(0, i-rows/2):min(len(v), i+rows/2+1)]...)
		slices.Sort(window)
		out[i] = window[len(window)/2]
	}
	return out
}

// swings counts the stretches, one behind the other, in which values change by so
// much within so many seconds.
func swings(at, v []float64, swing, within float64) int {
	n, from := 0, 0
	var low, high []int // of the window, the lowest and highest and what may follow them
	for i := range v {
		if i > from && at[i] < at[i-1] { // begun again
			from, low, high = i, low[:0], high[:0]
		}
		for len(low) > 0 && v[low[len(low)-1]] >= v[i] {
			low = low[:len(low)-1]
		}
		for len(high) > 0 && v[high[len(high)-1]] <= v[i] {
			high = high[:len(high)-1]
		}
		low, high = append(low, i), append(high, i)
		for at[i]-at[from] > within {
			from++
			if low[0] < from {
				low = low[1:]
			}
			if high[0] < from {
				high = high[1:]
			}
		}
		if v[high[0]]-v[low[0]] >= swing {
			n, from, low, high = n+1, i+1, low[:0], high[:0]
		}
	}
	return n
}
