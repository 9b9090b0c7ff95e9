package uncertainty

import (
	"fmt"
	"math"
)

// FromObservations returns the mean of independent observations of one
// quantity with its standard uncertainty s/√n and n − 1 degrees of freedom
// (4.2.3). It needs at least two.
//
// Neighbouring samples of one log are not independent: give run or segment
// means, not samples.
//
// Fewer, or values that are not finite, give an error that wraps [ErrInput].
func FromObservations(x []float64) (Value, error) {
	n := float64(len(x))
	if n < 2 {
		return Value{X: math.NaN(), U: math.NaN()}, fmt.Errorf("uncertainty: %d observations, want at least 2: %w", len(x), ErrInput)
	}
	mean := x[0] // differences from one of them keep the digits that readings of one quantity share
	for i, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Value{X: math.NaN(), U: math.NaN()}, fmt.Errorf("uncertainty: observation %d is %v: %w", i, v, ErrInput)
		}
		mean += (v - x[0]) / n
	}
	ss := 0.0
	for _, v := range x {
		ss += (v - mean) * (v - mean)
	}
	return Value{X: mean, U: math.Sqrt(ss / (n - 1) / n), DegreesOfFreedom: n - 1}, nil
}

// MeanInterval returns the coverage interval of the mean of a few independent
// observations by Student's t: for three runs at 95 % it is 4.3 standard
// uncertainties to each side, not two.
//
// It fails for fewer than two observations or a level outside 0 to 1.
func MeanInterval(x []float64, level float64) (Interval, error) {
	v, err := FromObservations(x)
	if err != nil {
		return Interval{Low: math.NaN(), High: math.NaN(), Level: level}, err
	}
	if !(level > 0 && level < 1) {
		return Interval{Low: math.NaN(), High: math.NaN(), Level: level}, rangeError("level", level, 0, 1, "such as 0.95")
	}
	return v.Interval(level), nil
}

// FromJointObservations returns the means of several quantities observed
// together, one slice each and all of one length, with the correlation of the
// means (5.2.3, equations (17) and (14)).
//
// It fails for slices of unequal length and as [FromObservations] does.
func FromJointObservations(quantities ...[]float64) ([]Value, Correlation, error) {
	values := make([]Value, len(quantities))
	for i, x := range quantities {
		if len(x) != len(quantities[0]) {
			return nil, nil, fmt.Errorf("uncertainty: quantity %d has %d observations, quantity 0 has %d: %w", i, len(x), len(quantities[0]), ErrInput)
		}
		v, err := FromObservations(x)
		if err != nil {
			return nil, nil, fmt.Errorf("quantity %d: %w", i, err)
		}
		values[i] = v
	}
	r := Correlation{}
	for i := range quantities {
		for j := i + 1; j < len(quantities); j++ {
			n, sum := float64(len(quantities[i])), 0.0
			for k := range quantities[i] {
				sum += (quantities[i][k] - values[i].X) * (quantities[j][k] - values[j].X)
			}
			if d := values[i].U * values[j].U; d > 0 {
				r[Pair{i, j}] = math.Max(-1, math.Min(1, sum/(n*(n-1))/d))
			}
		}
	}
	return values, r, nil
}
