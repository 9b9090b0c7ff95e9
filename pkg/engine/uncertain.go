package engine

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/uncertainty"
)

// UncertainEffect is an [Effect] with what the measurement's uncertainty adds.
// All values are relative changes.
type UncertainEffect struct {
	Effect  Effect
	Density uncertainty.Value
	// Estimates holds each standard's change with the standard uncertainty
	// that comes from the inputs, in the order of [Standards].
	Estimates []uncertainty.Value
	// Interval reaches from the lowest standard's lower end to the highest
	// one's upper end, each at 95 %: disagreement of the models and
	// uncertainty of the measurement in one.
	Interval uncertainty.Interval
	// Call says whether the interval leaves zero.
	Call string
}

// ChangeOfPowerByHeating returns the change of full-throttle power when
// outside air is warmed (or the intake cooled) from one intake temperature to
// another at the pressure and humidity of outside. from and to are intake
// temperatures in K with their standard uncertainties; give the difference's
// common part, such as one logger's offset, only once by leaving it out of
// both. Errors as for [ChangeOfPower].
func ChangeOfPowerByHeating(outside air.UncertainState, from, to uncertainty.Value) (UncertainEffect, error) {
	nan := uncertainty.Value{X: math.NaN(), U: math.NaN()}
	u := UncertainEffect{Density: nan}
	s, err := outside.State()
	if err != nil {
		return u, fmt.Errorf("engine.ChangeOfPowerByHeating: outside: %w", err)
	}
	a, err := s.Heated(quantity.Kelvin(from.X))
	if err != nil {
		return u, err
	}
	b, err := s.Heated(quantity.Kelvin(to.X))
	if err != nil {
		return u, err
	}
	if u.Effect, err = ChangeOfPower(a, b); err != nil {
		return u, err
	}
	e := uncertainty.Value{X: float64(s.VapourPressure), U: math.Abs(float64(s.VapourPressure)) * relative(outside.Humidity)}
	inputs := []uncertainty.Value{outside.Pressure, e, from, to}
	if u.Density, err = uncertainty.Propagate(func(x []float64) float64 {
		return density(x[0], x[3], x[1])/density(x[0], x[2], x[1]) - 1
	}, inputs...); err != nil {
		return u, err
	}
	u.Interval = uncertainty.Interval{Low: math.Inf(1), High: math.Inf(-1), Level: 0.95}
	for _, st := range Standards() {
		v, err := uncertainty.Propagate(func(x []float64) float64 {
			return st.factor(x[2], x[0]-x[1], x[0])/st.factor(x[3], x[0]-x[1], x[0]) - 1
		}, inputs...)
		if err != nil {
			return u, err
		}
		u.Estimates = append(u.Estimates, v)
		i := v.Interval(0.95)
		u.Interval.Low, u.Interval.High = math.Min(u.Interval.Low, i.Low), math.Max(u.Interval.High, i.High)
	}
	u.Call = "the interval contains zero: no change of power can be claimed"
	switch {
	case u.Interval.Low > 0:
		u.Call = "a gain"
	case u.Interval.High < 0:
		u.Call = "a loss"
	}
	return u, nil
}

func relative(v uncertainty.Value) float64 {
	if v.X == 0 {
		return 0
	}
	return v.Relative()
}

// density is the ideal mixture's, from pressure, temperature and vapour
// pressure in SI units.
func density(p, t, e float64) float64 {
	return float64(air.State{Pressure: quantity.Pressure(p), Temperature: quantity.Kelvin(t), VapourPressure: quantity.Pressure(e)}.Density())
}

// String returns the effect, then each estimate with its uncertainty.
func (u UncertainEffect) String() string {
	var b strings.Builder
	b.WriteString(u.Effect.String())
	percent := func(v uncertainty.Value) string {
		return uncertainty.Value{X: 100 * v.X, U: 100 * v.U}.String() + " %"
	}
	for i, st := range Standards() {
		if i < len(u.Estimates) {
			fmt.Fprintf(&b, "with measurement uncertainty, %v: %s\n", st, percent(u.Estimates[i]))
		}
	}
	fmt.Fprintf(&b, "models and measurement together (95 %%): %+.1f %% to %+.1f %%; %s\n", 100*u.Interval.Low, 100*u.Interval.High, u.Call)
	return b.String()
}
