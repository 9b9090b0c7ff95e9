package estimate

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// ErrUnknown is wrapped where a number is asked for that the data do not give.
var ErrUnknown = errors.New("not known from these data")

// Estimate is a number with what is known of its trust, or the reason why it
// is not known.
type Estimate struct {
	// Name says what was estimated, for showing.
	Name string
	// Unit is the unit in which Value is shown; Value itself and everything
	// below is in the SI unit of Unit's kind.
	Unit quantity.Unit
	// Value is NaN where the data do not give it; Missing then says why and
	// what would.
	Value    float64
	Missing  string
	Interval Interval
	Basis    Basis
	// DegreesOfFreedom are those of the interval's standard uncertainty: +Inf
	// where it was not estimated from observations, NaN where the notion does
	// not apply.
	DegreesOfFreedom float64
	// Count is how many independent pieces of evidence (drives, blocks,
	// stretches) it rests on; 0 where that does not apply.
	Count int
	// Contributions are the parts of the uncertainty by source, each source
	// once; empty where they are not known one by one.
	Contributions []Contribution
	Warnings      []Warning
}

// New returns an estimate whose interval follows from its contributions:
// value ± k·u with u² = Σ effect² (sources are independent; equal sources are
// added first), k the quantile of Student's t for the effective degrees of
// freedom of Welch and Satterthwaite. The value is in SI.
//
// Effective degrees of freedom are not cut to whole numbers, as JCGM 100,
// G.4.1, allows. Without contributions the interval is the value alone.
//
// It fails where level is outside 0 < level < 1 or a contribution is not
// finite.
//
// Source: JCGM 100:2008, equations (10) and (G.2b).
func New(name string, value float64, unit quantity.Unit, level float64, basis Basis, contributions ...Contribution) (Estimate, error) {
	e := Estimate{Name: name, Unit: unit, Value: value, Basis: basis, Interval: NoInterval(), DegreesOfFreedom: math.NaN()}
	if err := checkLevel(level); err != nil {
		return e, err
	}
	for _, c := range contributions {
		if err := c.check(); err != nil {
			return e, err
		}
	}
	e.Contributions = merge(contributions)
	if len(e.Contributions) > 0 {
		e.Interval = e.AtLevel(level)
	} else {
		e.Interval = Interval{value, value, level}
	}
	e.DegreesOfFreedom = e.effective()
	return e, nil
}

// Between returns an estimate whose interval was found in another way than by
// adding contributions: from a likelihood, from bounds. Value and interval are
// in SI; degreesOfFreedom may be NaN.
func Between(name string, value float64, unit quantity.Unit, interval Interval, basis Basis, degreesOfFreedom float64) Estimate {
	return Estimate{Name: name, Unit: unit, Value: value, Interval: interval, Basis: basis, DegreesOfFreedom: degreesOfFreedom}
}

// Within returns an estimate that lies between bounds, to which no probability
// belongs: tolerances, rival formulas, a part that is not known. All in SI;
// low and high may be given in either order.
func Within(name string, value float64, unit quantity.Unit, low, high float64) Estimate {
	return Between(name, value, unit, Interval{Low: math.Min(low, high), High: math.Max(low, high)}, Bounds, math.NaN())
}

// Unknown returns the estimate of a number that the data do not give. why says
// what is missing and what would give it.
func Unknown(name string, unit quantity.Unit, why string) Estimate {
	return Estimate{Name: name, Unit: unit, Value: math.NaN(), Missing: why, Interval: NoInterval(), DegreesOfFreedom: math.NaN()}
}

// Known reports whether there is a value.
func (e Estimate) Known() bool { return !math.IsNaN(e.Value) }

// StandardUncertainty returns the standard uncertainty in SI: the root of the
// squared contributions where they are known, else the width of the interval
// over twice the normal or t quantile of its level; NaN where neither is.
func (e Estimate) StandardUncertainty() float64 {
	if len(e.Contributions) > 0 {
		sum := 0.0
		for _, c := range e.Contributions {
			sum += c.Effect * c.Effect
		}
		return math.Sqrt(sum)
	}
	if e.Basis == Bounds { // a rectangle: half its width over √3 (JCGM 100, 4.3.7)
		return e.Interval.Width() / 2 / math.Sqrt(3)
	}
	if checkLevel(e.Interval.Level) != nil {
		return math.NaN()
	}
	return e.Interval.Width() / 2 / coverageFactor(e.DegreesOfFreedom, e.Interval.Level)
}

// AtLevel returns the interval for another level by the contributions; where
// they are not known it is NoInterval, unless level is that of the interval.
func (e Estimate) AtLevel(level float64) Interval {
	switch {
	case level == e.Interval.Level && e.Interval.Known():
		return e.Interval
	case checkLevel(level) != nil:
		return NoInterval()
	case len(e.Contributions) == 0 && e.Interval.Width() == 0: // nothing contributes
		return Interval{e.Value, e.Value, level}
	case len(e.Contributions) == 0:
		return NoInterval()
	}
	half := coverageFactor(e.effective(), level) * e.StandardUncertainty()
	return Interval{e.Value - half, e.Value + half, level}
}

// effective returns the degrees of freedom by Welch and Satterthwaite.
func (e Estimate) effective() float64 {
	fourth, variance := 0.0, 0.0
	for _, c := range e.Contributions {
		variance += c.Effect * c.Effect
		if c.DegreesOfFreedom > 0 {
			fourth += math.Pow(c.Effect, 4) / c.DegreesOfFreedom
		}
	}
	if fourth == 0 {
		return math.Inf(1)
	}
	return variance * variance / fourth
}

// coverageFactor is the two-sided quantile of Student's t, or of the normal
// distribution where the degrees of freedom are infinite or do not apply. The
// t distribution is taken for a fractional number of degrees of freedom, at
// least one tenth.
func coverageFactor(degreesOfFreedom, level float64) float64 {
	if math.IsNaN(degreesOfFreedom) || math.IsInf(degreesOfFreedom, 1) {
		return distuv.UnitNormal.Quantile((1 + level) / 2)
	}
	return distuv.StudentsT{Sigma: 1, Nu: math.Max(degreesOfFreedom, 0.1)}.Quantile((1 + level) / 2)
}

// Warn returns the estimate with further warnings.
func (e Estimate) Warn(w ...Warning) Estimate {
	e.Warnings = append(append([]Warning(nil), e.Warnings...), w...)
	return e
}

// Require returns the value in SI; where it is not known, NaN and an error
// that wraps ErrUnknown and says why.
func (e Estimate) Require() (float64, error) {
	if !e.Known() {
		return math.NaN(), fmt.Errorf("%s: %w: %s", e.Name, ErrUnknown, e.Missing)
	}
	return e.Value, nil
}
