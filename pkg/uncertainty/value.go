package uncertainty

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// ErrInput is wrapped by errors about values or options that make no sense.
var ErrInput = errors.New("unusable input")

// Value is an estimate with its standard uncertainty.
type Value struct {
	// X is the best estimate.
	X float64
	// U is the standard uncertainty, not negative, in the unit of X.
	U float64
	// DegreesOfFreedom says how well U itself is known; zero means infinitely
	// well, as for an uncertainty that was not estimated from observations.
	DegreesOfFreedom float64
}

// Exact returns a value without uncertainty.
func Exact(x float64) Value { return Value{X: x} }

// Rectangular returns a value known to lie within ± half of x and nothing
// more, u = half/√3 (4.3.7). Resolution d of a display: half = d/2. Tolerance
// of a class: half = tolerance.
func Rectangular(x, half float64) Value { return Value{X: x, U: half / math.Sqrt(3)} }

// Triangular returns a value within ± half of x, near the middle more likely,
// u = half/√6 (4.3.9).
func Triangular(x, half float64) Value { return Value{X: x, U: half / math.Sqrt(6)} }

// FromExpanded returns a value from a certificate's expanded uncertainty and
// its coverage factor (4.3.3).
func FromExpanded(x, expanded, coverageFactor float64) Value {
	return Value{X: x, U: expanded / coverageFactor}
}

// rangeError wraps [ErrInput] and [quantity.ErrOutOfRange].
func rangeError(what string, got, low, high float64, hint string) error {
	return fmt.Errorf("%w: %w", ErrInput, quantity.OutOfRange("uncertainty", what, got, low, high, quantity.Unit{}, hint))
}

// check names the input that is unusable.
func (v Value) check(name string) error {
	switch {
	case math.IsNaN(v.X) || math.IsInf(v.X, 0):
		return fmt.Errorf("uncertainty: %s: estimate %v: %w", name, v.X, ErrInput)
	case !(v.U >= 0) || math.IsInf(v.U, 0):
		return rangeError("standard uncertainty of "+name, v.U, 0, math.Inf(1), "")
	case !(v.DegreesOfFreedom >= 0):
		return rangeError("degrees of freedom of "+name, v.DegreesOfFreedom, 0, math.Inf(1), "")
	}
	return nil
}

// Interval is a coverage interval, the one of all results.
type Interval = estimate.Interval

// Estimate returns the value as the estimate of a name, in SI, with the one
// source that its uncertainty comes from. It fails where the level is outside
// 0 < level < 1 or the uncertainty is not finite.
func (v Value) Estimate(name string, unit quantity.Unit, level float64, source estimate.Source) (estimate.Estimate, error) {
	if v.U == 0 {
		return estimate.New(name, v.X, unit, level, estimate.Propagated)
	}
	return estimate.New(name, v.X, unit, level, estimate.Propagated,
		estimate.Contribution{Source: source, Effect: v.U, DegreesOfFreedom: v.DegreesOfFreedom})
}

// CoverageFactor returns the factor by which U is multiplied for a coverage
// interval of the given level, between 0 and 1: the quantile of Student's t
// for the degrees of freedom cut to a whole number, as in G.4.1, of the normal
// distribution where they are infinite. NaN for another level or fewer than
// one degree of freedom.
func (v Value) CoverageFactor(level float64) float64 {
	if !(level > 0 && level < 1) {
		return math.NaN()
	}
	return coverageFactor(v.DegreesOfFreedom, level)
}

func coverageFactor(dof, level float64) float64 {
	if dof == 0 || math.IsInf(dof, 1) {
		return distuv.UnitNormal.Quantile((1 + level) / 2)
	}
	nu := math.Floor(dof * (1 + 1e-12)) // 16 that came out as 15.999…96 is 16
	if nu < 1 {
		return math.NaN()
	}
	return distuv.StudentsT{Sigma: 1, Nu: nu}.Quantile((1 + level) / 2)
}

// Interval returns the coverage interval X ± k·U of the given level.
func (v Value) Interval(level float64) Interval {
	half := v.CoverageFactor(level) * v.U
	return Interval{Low: v.X - half, High: v.X + half, Level: level}
}

// Within returns the probability that the quantity lies from low to high, which
// may be infinite: JCGM 106:2012, 7.4. The distribution is normal, or Student's
// t scaled by U where there are degrees of freedom (JCGM 101, 6.4.9). NaN where U
// is not known.
func (v Value) Within(low, high float64) float64 {
	if v.U == 0 {
		if low <= v.X && v.X <= high {
			return 1
		}
		return 0
	}
	below := distuv.Normal{Mu: v.X, Sigma: v.U}.CDF
	if v.DegreesOfFreedom > 0 && !math.IsInf(v.DegreesOfFreedom, 1) {
		below = distuv.StudentsT{Mu: v.X, Sigma: v.U, Nu: v.DegreesOfFreedom}.CDF
	}
	return below(high) - below(low)
}

// Relative returns U/|X|.
func (v Value) Relative() float64 { return v.U / math.Abs(v.X) }

// String returns the estimate and the standard uncertainty, both to the
// second significant digit of the uncertainty: "50.000838 ± 0.000032"; the
// estimate alone where it is exact.
func (v Value) String() string {
	switch {
	case v.U == 0:
		return strconv.FormatFloat(v.X, 'g', -1, 64)
	case !(v.U > 0) || math.IsInf(v.U, 0):
		return strconv.FormatFloat(v.X, 'g', -1, 64) + " with an unknown uncertainty"
	}
	decimals := 1 - int(math.Floor(math.Log10(v.U)))
	if decimals < 0 || decimals > 12 {
		return fmt.Sprintf("%.6g ± %.2g", v.X, v.U)
	}
	return fmt.Sprintf("%.*f ± %.*f", decimals, v.X, decimals, v.U)
}
