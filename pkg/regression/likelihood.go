package regression

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// LogMeanExp returns log(mean(exp(x))), the logarithm of a mean of likelihoods
// given by their logarithms. NaN and −Inf have no weight but count; it is −Inf
// where nothing has weight.
func LogMeanExp(x []float64) float64 {
	top := highest(x)
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for _, v := range x {
		if !math.IsNaN(v) {
			sum += math.Exp(v - top)
		}
	}
	return top + math.Log(sum/float64(len(x)))
}

// Normalise writes the weights exp(log), scaled to sum 1, into weight, which
// is as long. NaN and −Inf have weight 0; where nothing has weight all are 0.
func Normalise(weight, log []float64) {
	top := highest(log)
	for i, v := range log {
		weight[i] = 0
		if v > math.Inf(-1) {
			weight[i] = math.Exp(v - top)
		}
	}
	if sum := floats.Sum(weight); sum > 0 {
		floats.Scale(1/sum, weight)
	}
}

// highest returns the largest value that is not NaN; −Inf where there is none.
func highest(x []float64) float64 {
	top := math.Inf(-1)
	for _, v := range x {
		if v > top {
			top = v
		}
	}
	return top
}
