package clock

import (
	"math"
	"slices"
)

// clip limits x to four robust standard deviations about its median, so that
// single events (a door, a spike) do not decide.
func clip(x []float64) {
	var y []float64
	for _, v := range x {
		if !math.IsNaN(v) {
			y = append(y, v)
		}
	}
	if len(y) < 8 {
		return
	}
	slices.Sort(y)
	median := y[len(y)/2]
	for i := range y {
		y[i] = math.Abs(y[i] - median)
	}
	slices.Sort(y)
	limit := 4 * 1.4826 * y[len(y)/2]
	if limit == 0 {
		return
	}
	for i, v := range x {
		if !math.IsNaN(v) {
			x[i] = math.Max(median-limit, math.Min(median+limit, v))
		}
	}
}

func differences(x []float64) []float64 {
	d := make([]float64, len(x))
	d[0] = math.NaN()
	for i := 1; i < len(x); i++ {
		d[i] = x[i] - x[i-1]
	}
	return d
}
