package air

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/uncertainty"
)

// UncertainState is moist air as measured: absolute pressure in Pa,
// temperature in K and relative humidity as a fraction at that temperature,
// each with its standard uncertainty, uncorrelated.
type UncertainState struct {
	Pressure, Temperature, Humidity uncertainty.Value
}

// inputs names the lines of a budget.
func (s UncertainState) inputs() []uncertainty.Input {
	return []uncertainty.Input{
		{Name: "pressure", Unit: "Pa", Value: s.Pressure},
		{Name: "temperature", Unit: "K", Value: s.Temperature},
		{Name: "relative humidity", Unit: "1", Value: s.Humidity},
		{Name: "formula (ideal mixture)", Unit: "1", Value: uncertainty.Value{X: 1, U: idealUncertainty(s.Pressure.X, s.Humidity.X*hylandWexler(s.Temperature.X))}},
	}
}

// State returns the estimates without their uncertainties.
//
// Errors are those of [NewState].
func (s UncertainState) State() (State, error) {
	return NewState(quantity.Pressure(s.Pressure.X), quantity.Kelvin(s.Temperature.X), quantity.RelativeHumidity(s.Humidity.X))
}

// DensityBudget returns the density in kg/m³ of moist air with its uncertainty
// budget: three measured inputs and the formula's own, 0.1 % and more
// for hot air that is nearly saturated. Estimates out of
// range give an error that wraps [ErrOutOfRange].
func DensityBudget(s UncertainState) (uncertainty.Budget, error) {
	nan := uncertainty.Budget{Result: uncertainty.Value{X: math.NaN(), U: math.NaN()}}
	if _, err := s.State(); err != nil {
		return nan, err
	}
	b, err := uncertainty.NewBudget(func(x []float64) float64 {
		// A humidity of 100 % ± 3 % steps beyond saturation; the derivative
		// there is that of the formula itself, so it is not checked again.
		return x[3] * idealMixture(x[0], x[1], x[2]*hylandWexler(x[1]))
	}, s.inputs(), nil)
	if err != nil {
		return nan, fmt.Errorf("air.DensityBudget: %w", err)
	}
	b.Unit = "kg/m³"
	return b, nil
}
