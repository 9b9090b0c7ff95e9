// Package draws propagates distributions by a low-discrepancy sequence.
package draws

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Quantile returns the u-quantile of an estimate: Student's t through the ends of
// its interval, each side by itself; uniform between bounds without a level and
// the value, which halves the draws; the value where there is no interval.
func Quantile(e estimate.Estimate, u float64) float64 {
	v := e.Interval
	switch {
	case !v.Known() || v.Low == v.High:
		return e.Value
	case !(v.Level > 0 && v.Level < 1):
		if !(e.Value >= v.Low && e.Value <= v.High) {
			return v.Low + u*(v.High-v.Low)
		}
		return e.Value + max(0, 2*u-1)*(v.High-e.Value) - max(0, 1-2*u)*(e.Value-v.Low)
	}
	q := Normal
	if n := e.DegreesOfFreedom; n > 0 && !math.IsInf(n, 0) {
		q = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n}.Quantile
	}
	z := q(u) / q((1+v.Level)/2)
	if z < 0 {
		return e.Value + z*(e.Value-v.Low)
	}
	return e.Value + z*(v.High-e.Value)
}

// Normal returns the u-quantile of the standard normal distribution.
func Normal(u float64) float64 { return distuv.UnitNormal.Quantile(u) }

// Leaning returns the u-quantile of a distribution about 0 that is uniform down to
// −less, and the less likely the further up to more (a triangle); each half of it
// lies on its side.
func Leaning(u, less, more float64) float64 {
	if u <= 0.5 {
		return (2*u - 1) * less
	}
	return more * (1 - math.Sqrt(2-2*u))
}

var primes = []float64{2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61}

// Point writes the i-th of n points of the sequence to u, of which each coordinate
// is equidistributed in 0 to 1; those that are not varied become a half. u has at
// most 18 elements.
//
// The additive recurrence by the square roots of the primes is after R. D.
// Richtmyer, 1951, from memory.
func Point(u []float64, i, n int, varied func(k int) bool) {
	for k := range u {
		u[k] = 0.5
		if _, x := math.Modf(0.5 + float64(i+1)*math.Sqrt(primes[k])); varied(k) {
			u[k] = min(max(x, 0.5/float64(n)), 1-0.5/float64(n))
		}
	}
}

// Coverage returns the 95 % interval of draws, with equal parts beyond both
// ends. It sorts them.
func Coverage(x []float64) estimate.Interval {
	return estimate.Interval{Low: series.Quantile(x, 0.025), High: series.Quantile(x, 0.975), Level: 0.95}
}
