package air

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// State describes a parcel of moist air. Make it with [NewState],
// [NewStateFromDewPoint] or [NewStateFromWetBulb], which check; the zero value
// is not valid.
type State struct {
	// Pressure is the absolute static pressure at the place.
	Pressure quantity.Pressure
	// Temperature is that of the air (dry bulb).
	Temperature quantity.Temperature
	// VapourPressure is the partial pressure of the water vapour. It does not
	// change when the air is heated at constant pressure.
	VapourPressure quantity.Pressure
}

func invalidState() State {
	nan := quantity.Pressure(math.NaN())
	return State{nan, quantity.Kelvin(math.NaN()), nan}
}

// NewState returns the air of pressure p, temperature t and relative humidity
// h over water. Valid for 10 kPa to 120 kPa, −40 °C to 150 °C and 0 to 1;
// otherwise the state holds NaN and the error wraps [ErrOutOfRange].
func NewState(p quantity.Pressure, t quantity.Temperature, h quantity.RelativeHumidity) (State, error) {
	if err := inputError("NewState", float64(p), t.Kelvin(), float64(h)); err != nil {
		return invalidState(), err
	}
	s := State{p, t, quantity.Pressure(float64(h) * hylandWexler(t.Kelvin()))}
	if err := s.Check(); err != nil {
		return invalidState(), err
	}
	return s, nil
}

// NewStateFromDewPoint returns the air of pressure p, temperature t and dew
// point dew. It fails, wrapping [ErrOutOfRange], as [NewState] does, and for a
// dew point below −40 °C or above t.
func NewStateFromDewPoint(p quantity.Pressure, t, dew quantity.Temperature) (State, error) {
	if err := inputError("NewStateFromDewPoint", float64(p), t.Kelvin(), 0); err != nil {
		return invalidState(), err
	}
	if k := dew.Kelvin(); !(k >= minTemperature && k <= t.Kelvin()) {
		return invalidState(), quantity.OutOfRange("air.NewStateFromDewPoint", "dew point", k, minTemperature, t.Kelvin(),
			quantity.KindTemperature.Shown(), "the upper end is the temperature of the air")
	}
	s := State{p, t, quantity.Pressure(hylandWexler(dew.Kelvin()))}
	if err := s.Check(); err != nil {
		return invalidState(), err
	}
	return s, nil
}

// Check returns nil if the state is one that the functions of this package
// and of package engine accept: pressure and temperature within the limits of
// [NewState], vapour pressure neither negative nor above saturation (by more
// than 1 %) nor above half the pressure. Otherwise the error wraps
// [ErrOutOfRange].
func (s State) Check() error {
	if err := inputError("State", float64(s.Pressure), s.Temperature.Kelvin(), 0); err != nil {
		return err
	}
	e := float64(s.VapourPressure)
	limit, what := 1.01*hylandWexler(s.Temperature.Kelvin()), "saturation at this temperature"
	if half := float64(s.Pressure) / 2; half < limit {
		limit, what = half, "half the air pressure"
	}
	if !(e >= 0 && e <= limit) {
		return vapourPressureError("State", e, limit, what)
	}
	return nil
}

// Heated returns the same air at temperature t and the same pressure, as when
// outside air passes a hot engine bay: the vapour pressure stays, the relative
// humidity falls. Cooling below the dew point would condense water and is an
// error that wraps [ErrOutOfRange].
func (s State) Heated(t quantity.Temperature) (State, error) {
	r := State{s.Pressure, t, s.VapourPressure}
	err := r.Check()
	if from := s.Temperature; err == nil && !temperatureOK(from.Kelvin()) {
		err = s.Check()
	}
	if err != nil {
		return invalidState(), fmt.Errorf("air.Heated from %v to %v: %w", s.Temperature, t, err)
	}
	return r, nil
}

// AtPressure returns the same air brought to pressure p at constant
// temperature, as behind a filter or a long duct: the vapour pressure changes
// in proportion, because the mixing ratio stays. It fails as [State.Check] does.
func (s State) AtPressure(p quantity.Pressure) (State, error) {
	r := State{p, s.Temperature, s.VapourPressure * p / s.Pressure}
	err := r.Check()
	if err == nil && !pressureOK(float64(s.Pressure)) {
		err = s.Check()
	}
	if err != nil {
		return invalidState(), fmt.Errorf("air.AtPressure: %w", err)
	}
	return r, nil
}

// Density returns the density of the mixture of two ideal gases, see the
// function [Density]. NaN if the state is not valid.
func (s State) Density() quantity.Density {
	p, t, e := float64(s.Pressure), s.Temperature.Kelvin(), float64(s.VapourPressure)
	if !pressureOK(p) || !temperatureOK(t) || !(e >= 0 && e <= p/2) {
		return quantity.Density(math.NaN())
	}
	return quantity.Density(idealMixture(p, t, e))
}

// DryPressure returns the pressure without the vapour's part, which is the
// pressure that ISO 1585 and SAE J1349 correct with.
func (s State) DryPressure() quantity.Pressure { return s.Pressure - s.VapourPressure }

// RelativeHumidity returns the vapour pressure as a fraction of saturation
// over water at the state's temperature.
func (s State) RelativeHumidity() quantity.RelativeHumidity {
	return quantity.RelativeHumidity(float64(s.VapourPressure) / hylandWexler(s.Temperature.Kelvin()))
}

// MixingRatio returns the mass of vapour per mass of dry air, kg/kg.
func (s State) MixingRatio() float64 {
	return (gasConstantDry / gasConstantVapour) * float64(s.VapourPressure/s.DryPressure())
}

// DewPoint returns the temperature at which the vapour would saturate over
// water. Completely dry air has none: the result is an invalid temperature.
func (s State) DewPoint() quantity.Temperature {
	if !(s.VapourPressure > 0) {
		return quantity.Kelvin(math.NaN())
	}
	return quantity.Kelvin(dewPoint(float64(s.VapourPressure)))
}

// String returns pressure, temperature and relative humidity.
func (s State) String() string { return s.In(quantity.Preferred{}) }

// In returns the same in the given units.
func (s State) In(units quantity.Preferred) string {
	p, _ := units.Text(s.Pressure)
	t, _ := units.Text(s.Temperature)
	return fmt.Sprintf("%s, %s, %v RH", p, t, s.RelativeHumidity())
}

// RelativeHumidityAt returns the relative humidity that air of temperature t
// and humidity h has after heating to temperature hot at constant pressure.
// Values outside the limits of [NewState], and cooling below the dew point,
// give NaN and an error that wraps [ErrOutOfRange].
func RelativeHumidityAt(h quantity.RelativeHumidity, t, hot quantity.Temperature) (quantity.RelativeHumidity, error) {
	nan := quantity.RelativeHumidity(math.NaN())
	if !humidityOK(float64(h)) {
		return nan, humidityError("RelativeHumidityAt", float64(h))
	}
	for _, x := range []quantity.Temperature{t, hot} {
		if !temperatureOK(x.Kelvin()) {
			return nan, temperatureError("RelativeHumidityAt", x.Kelvin(), minTemperature, maxTemperature)
		}
	}
	r := h * quantity.RelativeHumidity(hylandWexler(t.Kelvin())/hylandWexler(hot.Kelvin()))
	if r > 1 {
		return nan, quantity.OutOfRange("air.RelativeHumidityAt", fmt.Sprintf("at %v, relative humidity of the air", hot), float64(r), 0, 1,
			quantity.KindRelativeHumidity.Shown(), fmt.Sprintf("air of %v and %v would condense", t, h))
	}
	return r, nil
}

// DewPoint returns the dew point of air of temperature t and humidity h > 0.
// Values outside the limits of [NewState] give an invalid temperature and an
// error that wraps [ErrOutOfRange].
func DewPoint(t quantity.Temperature, h quantity.RelativeHumidity) (quantity.Temperature, error) {
	nan := quantity.Kelvin(math.NaN())
	if !temperatureOK(t.Kelvin()) {
		return nan, temperatureError("DewPoint", t.Kelvin(), minTemperature, maxTemperature)
	}
	if !(h > 0 && h <= 1) {
		return nan, humidityError("DewPoint", float64(h))
	}
	return quantity.Kelvin(dewPoint(float64(h) * hylandWexler(t.Kelvin()))), nil
}
