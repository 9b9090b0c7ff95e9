package table

import (
	"math"
	"slices"
	"sort"
)

// Median returns the middle of the values, NaN for none.
func Median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Clone(v)
	sort.Float64s(s)
	return s[len(s)/2]
}

// TypicalStep is the median of the steps forward, from the first rows.
func TypicalStep(time []float64) float64 {
	var steps []float64
	for i := 1; i < len(time) && len(steps) < 2000; i++ {
		if s := time[i] - time[i-1]; s > 0 {
			steps = append(steps, s)
		}
	}
	if len(steps) == 0 {
		return 1
	}
	sort.Float64s(steps)
	return steps[len(steps)/2]
}
