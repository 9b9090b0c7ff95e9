package uncertainty

import (
	"fmt"
	"math"
)

// LineFit is a straight line through points: y = Intercept + Slope·(x − Reference).
type LineFit struct {
	Reference        float64
	Intercept, Slope Value
	// Correlation is that of intercept and slope.
	Correlation float64
	// Residual is the standard deviation of the residuals, n − 2 degrees of
	// freedom.
	Residual float64
}

// FitLine fits a straight line by least squares to points whose y alone are
// uncertain, all equally. It needs three points at two different x.
//
// Source: H.3.3, equations (H.13).
//
// Other points give an error that wraps [ErrInput].
func FitLine(x, y []float64, reference float64) (LineFit, error) {
	n := float64(len(x))
	if len(x) != len(y) || len(x) < 3 {
		return LineFit{}, fmt.Errorf("uncertainty: %d x and %d y for a line, want as many and at least 3: %w", len(x), len(y), ErrInput)
	}
	var sx, sy, sxx, sxy float64
	for i := range x {
		if math.IsNaN(x[i]+y[i]) || math.IsInf(x[i]+y[i], 0) {
			return LineFit{}, fmt.Errorf("uncertainty: point %d (%v, %v) of a line: %w", i, x[i], y[i], ErrInput)
		}
		sx += x[i] / n
		sy += y[i] / n
	}
	for i := range x {
		sxx += (x[i] - sx) * (x[i] - sx)
		sxy += (x[i] - sx) * (y[i] - sy)
	}
	if !(sxx > 0) {
		return LineFit{}, fmt.Errorf("uncertainty: all %d x of a line are equal: %w", len(x), ErrInput)
	}
	slope := sxy / sxx
	ss := 0.0
	for i := range x {
		d := y[i] - sy - slope*(x[i]-sx)
		ss += d * d
	}
	s := math.Sqrt(ss / (n - 2))
	lever := reference - sx
	u1, u2 := s*math.Sqrt(1/n+lever*lever/sxx), s/math.Sqrt(sxx)
	fit := LineFit{
		Reference: reference, Residual: s,
		Intercept: Value{sy + slope*lever, u1, n - 2},
		Slope:     Value{slope, u2, n - 2},
	}
	if u1 > 0 {
		fit.Correlation = lever * s * s / sxx / (u1 * u2)
	}
	return fit, nil
}

// At returns the line's y at x with the standard uncertainty of the line there
// (not of a further single observation), equation (H.15).
func (l LineFit) At(x float64) Value {
	d := x - l.Reference
	variance := l.Intercept.U*l.Intercept.U + d*d*l.Slope.U*l.Slope.U + 2*d*l.Intercept.U*l.Slope.U*l.Correlation
	return Value{l.Intercept.X + d*l.Slope.X, math.Sqrt(math.Max(0, variance)), l.Intercept.DegreesOfFreedom}
}

// String returns intercept and slope.
func (l LineFit) String() string {
	return fmt.Sprintf("%v + (%v)·(x − %g), correlation %.3f, residual %.3g", l.Intercept, l.Slope, l.Reference, l.Correlation, l.Residual)
}
