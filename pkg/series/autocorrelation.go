package series

import "math"

// Autocorrelation returns the sample autocorrelation of x at the given lag,
// r_k = Σ (x_i−x̄)(x_{i+k}−x̄) / Σ (x_i−x̄)², as certified by the NIST
// Statistical Reference Datasets for lag 1. x must have no NaN; the result is
// NaN for a constant or too short x.
func Autocorrelation(x []float64, lag int) float64 {
	if lag < 0 || len(x) <= lag {
		return math.NaN()
	}
	mean := 0.0
	for i, v := range x { // running mean keeps the digits of large offsets
		mean += (v - mean) / float64(i+1)
	}
	var num, den float64
	for i, v := range x {
		den += (v - mean) * (v - mean)
		if i+lag < len(x) {
			num += (v - mean) * (x[i+lag] - mean)
		}
	}
	if den == 0 {
		return math.NaN()
	}
	return num / den
}
