package changepoint

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Intervals returns the breaks of a fit of [Level]s as estimates, with a
// variance of its own for each regime. Values and intervals are indices: the
// break lies between the ends, both included, with the level asked for, 0.95
// for a 95 % interval. For correlated noise pass the AR(1) coefficient phi of
// the residuals (0 for independent ones): the long-run variance takes it in.
//
// Bai 1997, Review of Economics and Statistics 79, 551–563, and Bai & Perron
// 2003: the break's error, times δ²/σ², is distributed as the argmax of a
// two-sided Brownian motion with triangular drift.
//
// The error wraps ErrInput where f is no fit of levels to x, and
// [quantity.ErrOutOfRange] where level or phi lies outside 0 to 1.
func Intervals(x []float64, f Fit, level, phi float64) ([]estimate.Estimate, error) {
	if f.Model != Level || f.N != len(x) {
		return nil, fmt.Errorf("changepoint: intervals need a fit of levels to these %d values: %w", len(x), ErrInput)
	}
	const function = "changepoint.Intervals"
	if !(level > 0 && level < 1) {
		return nil, quantity.OutOfRange(function, "level", level, 0, 1, quantity.Unit{}, "0.95 means 95 %")
	}
	if !(phi >= 0 && phi < 1) {
		return nil, quantity.OutOfRange(function, "AR(1) coefficient", phi, 0, 1, quantity.Unit{}, "1 itself is no stationary noise")
	}
	c := newCost(Level, x)
	regimes := f.Regimes()
	longRun := (1 + phi) / (1 - phi)
	var all []estimate.Estimate
	for i, b := range f.Breaks {
		r1, r2 := regimes[i], regimes[i+1]
		v1 := longRun * c.RSS(r1[0], r1[1]) / float64(r1[1]-r1[0])
		v2 := longRun * c.RSS(r2[0], r2[1]) / float64(r2[1]-r2[0])
		delta := c.Mean(r2[0], r2[1]) - c.Mean(r1[0], r1[1])
		at := float64(b)
		span := estimate.Interval{Low: at, High: at, Level: level}
		if v1 > 0 && v2 > 0 {
			scale := v1 / (delta * delta)
			span.Low = math.Floor(at - ArgmaxQuantile((1+level)/2, 1, v2/v1)*scale)
			span.High = math.Ceil(at - ArgmaxQuantile((1-level)/2, 1, v2/v1)*scale)
		}
		all = append(all, estimate.Between(fmt.Sprintf("break %d", i+1), at, quantity.Unit{}, span, estimate.Likelihood, math.NaN()))
	}
	return all, nil
}

// ArgmaxDistribution returns the distribution function of
//
//	argmax V(s),  V(s) = W₁(−s) − |s|/2 for s ≤ 0,  √φ·W₂(s) − ξ·s/2 for s > 0
//
// with independent Brownian motions W: Bai 1997, appendix B. xi (ξ) is the
// ratio of the regimes' signal, phi (φ) of their variances; both positive.
func ArgmaxDistribution(x, xi, phi float64) float64 {
	cdf := func(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
	if x <= 0 {
		x = -x
		r := xi / phi
		a, b := r*(1+r)/2, 0.5+r
		c := phi * (phi + 2*xi) / (xi * (phi + xi))
		d := (phi + 2*xi) * (phi + 2*xi) / (xi * (phi + xi))
		return -math.Sqrt(x/(2*math.Pi))*math.Exp(-x/8) - expCdf(c, a*x, -b*math.Sqrt(x)) + (d-2+x/2)*cdf(-math.Sqrt(x)/2)
	}
	a, b := (phi+xi)/2, (2*phi+xi)/(2*math.Sqrt(phi))
	c := xi * (xi + 2*phi) / ((xi + phi) * phi)
	d := (xi + 2*phi) * (xi + 2*phi) / ((xi + phi) * phi)
	return 1 + xi*math.Sqrt(x/(2*math.Pi*phi))*math.Exp(-xi*xi*x/(8*phi)) + expCdf(c, a*x, -b*math.Sqrt(x)) +
		(-d+2-xi*xi*x/(2*phi))*cdf(-xi*math.Sqrt(x)/(2*math.Sqrt(phi)))
}

// expCdf returns c·exp(y)·Φ(z) for z ≤ 0 without overflow: where Φ would
// vanish it uses the tail's expansion.
func expCdf(c, y, z float64) float64 {
	if z > -35 {
		return c * math.Exp(y+math.Log(math.Erfc(-z/math.Sqrt2)/2))
	}
	tail := 1 - 1/(z*z) + 3/(z*z*z*z)
	return c * math.Exp(y-z*z/2) / (-z * math.Sqrt(2*math.Pi)) * tail
}

// ArgmaxQuantile returns the q-quantile of [ArgmaxDistribution], 0 < q < 1,
// by bisection.
func ArgmaxQuantile(q, xi, phi float64) float64 {
	lo, hi := -1.0, 1.0
	for ArgmaxDistribution(lo, xi, phi) > q {
		lo *= 2
	}
	for ArgmaxDistribution(hi, xi, phi) < q {
		hi *= 2
	}
	for range 100 {
		mid := (lo + hi) / 2
		if ArgmaxDistribution(mid, xi, phi) < q {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
