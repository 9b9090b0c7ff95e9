package clock

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// offsetLine is a straight line through offsets, offset + drift·(t − origin);
// about the weighted mean of t, where its two numbers are uncorrelated.
type offsetLine struct {
	origin, offset, drift float64
	// Standard deviations of offset and drift for weights that are 1/variance;
	// that of the drift is infinite where t does not vary.
	uOffset, uDrift float64
	chi2            float64 // weighted sum of squares about the line
}

// fitOffsets fits the line; weight nil: all alike.
func fitOffsets(t, offset, weight []float64) offsetLine {
	opts := regression.DefaultOptions()
	opts.Weights = weight
	l := offsetLine{origin: stat.Mean(t, weight), uDrift: math.Inf(1)}
	mean := stat.Mean(offset, weight) // taken off to keep the digits
	since, rest := make([]float64, len(t)), make([]float64, len(t))
	for i := range t {
		since[i], rest[i] = t[i]-l.origin, offset[i]-mean
	}
	columns := [][]float64{regression.Ones(len(t)), since}
	f, err := regression.LeastSquares(rest, columns, opts)
	if err == nil {
		l.drift, l.uDrift = f.Coefficients[1], math.Sqrt(f.Unscaled(1, 1))
	} else { // one t, or all equal
		f, _ = regression.LeastSquares(rest, columns[:1], opts)
	}
	l.offset, l.uOffset, l.chi2 = mean+f.Coefficients[0], math.Sqrt(f.Unscaled(0, 0)), f.RSS
	return l
}
