// Package numbers tells what a list of numbers looks like: its steps, its range,
// what it counts by.
package numbers

import (
	"math"
	"slices"
	"sort"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// Quantiles returns the lowest and highest value that are not single strays.
func Quantiles(values []float64) (lo, hi float64) {
	v := slices.Clone(values)
	sort.Float64s(v)
	skip := min(3, len(v)/20)
	return v[skip], v[len(v)-1-skip]
}

// DigitalStep recognises numbers that are all multiples of 1/16 or 1/4 and not
// of 1/10: 12-bit sensors with a serial bus and 14-bit thermocouple converters
// count so, and both in °C (common practice, from data sheets of such parts).
func DigitalStep(values []float64) string {
	for _, k := range []struct {
		n    float64
		name string
	}{{4, "1/4"}, {16, "1/16"}} {
		on, tenths := 0, 0
		for _, v := range values {
			f := v * k.n
			// Written with three or four decimals, rounded or cut.
			if math.Abs(f-math.Round(f)) <= 0.0011*k.n {
				on++
			}
			if g := v * 10; math.Abs(g-math.Round(g)) < 1e-6 {
				tenths++
			}
		}
		if on == len(values) && len(values) >= 20 && tenths < len(values)*7/10 {
			return k.name
		}
	}
	return ""
}

// Ascends reports whether values hardly ever fall; a restart may make them
// begin again.
func Ascends(v []float64) bool {
	falls := 0
	for i := 1; i < len(v); i++ {
		if v[i] < v[i-1] {
			falls++
		}
	}
	return len(v) > 1 && falls <= len(v)/50
}

// Distinct counts the values that differ from the one before.
func Distinct(v []float64) int {
	n := 0
	for i, x := range v {
		if i == 0 || x != v[i-1] {
			n++
		}
	}
	return n
}

// Counts reports whether each value is one more than the one before.
func Counts(v []float64) bool {
	off := 0
	for i := 1; i < len(v); i++ {
		if v[i] != v[i-1]+1 {
			off++
		}
	}
	return off <= len(v)/20
}

// MedianStep returns the median of the steps that rise.
func MedianStep(v []float64) float64 {
	var steps []float64
	for i := 1; i < len(v); i++ {
		if s := v[i] - v[i-1]; s > 0 {
			steps = append(steps, s)
		}
	}
	return table.Median(steps)
}

// EvenSteps reports whether nearly all steps are those of a clock that ticks:
// forward, and within half of the usual one.
func EvenSteps(v []float64) bool {
	var steps []float64
	for i := 1; i < len(v); i++ {
		steps = append(steps, v[i]-v[i-1])
	}
	usual := table.Median(steps)
	even := 0
	for _, s := range steps {
		if usual > 0 && math.Abs(s-usual) <= usual/2 {
			even++
		}
	}
	return len(steps) > 0 && even*10 >= len(steps)*9
}

// Rise is by how much values change from the first twentieth to the last, and over
// what span of times; ok is false for fewer than 100.
func Rise(times, values []float64) (rise, span float64, ok bool) {
	n := len(times)
	if n < 100 || len(values) != n {
		return 0, 0, false
	}
	k := n / 20
	mean := func(v []float64) float64 {
		sum := 0.0
		for _, x := range v {
			sum += x
		}
		return sum / float64(len(v))
	}
	return mean(values[n-k:]) - mean(values[:k]), times[n-1] - times[0], true
}

// RoundTo returns the largest power of ten that a whole number is a multiple
// of, 0 for one with a fraction.
func RoundTo(v float64) float64 {
	if v != math.Trunc(v) {
		return 0
	}
	p := 1.0
	for math.Mod(v, 10*p) == 0 && p < 1e15 {
		p *= 10
	}
	return p
}
