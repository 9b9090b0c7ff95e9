// Package plan says what to measure next: how many drives a difference
// needs, and what is missing for a defended answer.
package plan

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Power returns the chance that n drives with each configuration show a true
// difference, at the given two-sided level (0.95 for a 95 % interval), where
// deviation is the standard deviation between drives of one configuration.
//
// Source: two-sample t test, noncentral t distribution; the side that points
// the wrong way is left out as in R's power.t.test. n ≥ 2, a deviation above 0
// and a level between 0 and 1; outside, NaN and an error that wraps
// [quantity.ErrOutOfRange].
func Power(n int, difference, deviation quantity.TemperatureDifference, level float64) (float64, error) {
	if err := checkPower(n, deviation, level); err != nil {
		return math.NaN(), err
	}
	nu := float64(2*n - 2)
	ncp := math.Abs(float64(difference)) / float64(deviation) * math.Sqrt(float64(n)/2)
	t := distuv.StudentsT{Sigma: 1, Nu: nu}.Quantile(0.5 + level/2)
	return 1 - noncentralT(t, nu, ncp), nil
}

func checkPower(n int, deviation quantity.TemperatureDifference, level float64) error {
	switch {
	case n < 2:
		return quantity.OutOfRange("plan", "number of drives a side", float64(n), 2, math.Inf(1), quantity.Unit{}, "two are needed for any interval")
	case !(deviation > 0):
		return quantity.OutOfRange("plan", "deviation between drives", float64(deviation), 0, math.Inf(1), quantity.KindTemperatureDifference.Shown(), "it must be above 0 K")
	case !(level > 0 && level < 1):
		return quantity.OutOfRange("plan", "level", level, 0, 1, quantity.Unit{}, "such as 0.95")
	}
	return nil
}

// noncentralT returns P(T ≤ t) for T = (Z + ncp)/√(χ²ν/ν), as the mean of
// Φ(t·s − ncp) over s = √(χ²ν/ν).
func noncentralT(t, nu, ncp float64) float64 {
	chi := distuv.ChiSquared{K: nu}
	std := distuv.UnitNormal
	f := func(s float64) float64 { return std.CDF(t*s-ncp) * chi.Prob(nu*s*s) * 2 * nu * s }
	hi := math.Sqrt(chi.Quantile(1-1e-14) / nu)
	return quad.Fixed(f, 0, hi, 400, nil, 0)
}

// DetectableDifference returns the smallest true difference that n drives a
// side would show with the given chance (power, such as 0.8).
//
// It fails for a level or power outside its range, fewer than two drives and
// no scatter.
func DetectableDifference(n int, deviation quantity.TemperatureDifference, level, power float64) (quantity.TemperatureDifference, error) {
	if err := checkPower(n, deviation, level); err != nil {
		return quantity.TemperatureDifference(math.NaN()), err
	}
	if !(power > 0.5 && power < 1) {
		return quantity.TemperatureDifference(math.NaN()), quantity.OutOfRange("plan", "chance to see the difference", power, 0.5, 1, quantity.Unit{}, "such as 0.8")
	}
	lo, hi := quantity.TemperatureDifference(0), deviation
	enough := func(d quantity.TemperatureDifference) bool {
		p, _ := Power(n, d, deviation, level) // arguments were checked above
		return p >= power
	}
	for !enough(hi) {
		hi *= 2
	}
	for range 60 {
		mid := (lo + hi) / 2
		if enough(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi, nil
}

// DrivesNeeded returns how many drives with each configuration show a true
// difference with the given chance. It gives up at 1,000 a side.
//
// It fails there, for a difference of nothing, and as [Power] does.
func DrivesNeeded(difference, deviation quantity.TemperatureDifference, level, power float64) (int, error) {
	if difference == 0 || math.IsNaN(float64(difference)) {
		return 0, fmt.Errorf("plan: difference %v: no number of drives shows a difference of nothing", difference)
	}
	for n := 2; n <= 1000; n++ {
		p, err := Power(n, difference, deviation, level)
		if err != nil {
			return 0, err
		}
		if p >= power {
			return n, nil
		}
	}
	return 0, fmt.Errorf("plan: a difference of %v against %v between drives needs more than 1000 drives a side; make the drives more alike instead", difference, deviation)
}
