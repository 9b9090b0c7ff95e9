package air

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// WetBulb returns the thermodynamic wet-bulb temperature: the temperature to
// which the air cools while it saturates itself by evaporating water.
//
//	W = [(2501 − 2.326 t*)·W_s* − 1.006 (t − t*)]/(2501 + 1.86 t − 4.186 t*)
//
// with temperatures in °C and mixing ratios W in kg/kg. Solved by bisection
// to 1e-9 K. The water is liquid, also below 0 °C. Valid for −40 °C to 100 °C
// air temperature; otherwise NaN and an error that wraps [ErrOutOfRange].
//
// Source: ASHRAE Fundamentals (2017), ch. 1, equation (33).
func WetBulb(s State) (quantity.Temperature, error) {
	nan := quantity.Kelvin(math.NaN())
	if err := s.Check(); err != nil {
		return nan, fmt.Errorf("air.WetBulb: %w", err)
	}
	t, p := s.Temperature.Kelvin(), float64(s.Pressure)
	if t > 373.15 {
		return nan, temperatureError("WetBulb", t, minTemperature, 373.15)
	}
	lo, hi := t-70, t
	for hi-lo > 1e-9 {
		if mid := (lo + hi) / 2; vapourFromWetBulb(t, mid, p) > float64(s.VapourPressure) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return quantity.Kelvin((lo + hi) / 2), nil
}

// NewStateFromWetBulb returns the air of pressure p, dry-bulb temperature t
// and thermodynamic wet-bulb temperature wet, see [WetBulb]. A wet bulb above
// the dry one, or so far below that the humidity would be negative, is an
// error that wraps [ErrOutOfRange].
func NewStateFromWetBulb(p quantity.Pressure, t, wet quantity.Temperature) (State, error) {
	if err := inputError("NewStateFromWetBulb", float64(p), t.Kelvin(), 0); err != nil {
		return invalidState(), err
	}
	e := vapourFromWetBulb(t.Kelvin(), wet.Kelvin(), float64(p))
	if !(wet.Kelvin() <= t.Kelvin() && wet.Kelvin() >= 203.15 && e >= 0) || t.Kelvin() > 373.15 {
		return invalidState(), quantity.OutOfRange("air.NewStateFromWetBulb", fmt.Sprintf("at dry bulb %v, wet bulb", t), wet.Kelvin(), math.NaN(), math.NaN(),
			quantity.KindTemperature.Shown(), "it must lie below the dry bulb, with a humidity of at least 0, and the dry bulb up to 100 °C")
	}
	s := State{p, t, quantity.Pressure(e)}
	if err := s.Check(); err != nil {
		return invalidState(), err
	}
	return s, nil
}

// vapourFromWetBulb returns the vapour pressure in Pa, negative where no air
// can have such a wet bulb.
func vapourFromWetBulb(t, wet, p float64) float64 {
	const ratio = 0.621945 // molar masses, as in ASHRAE (2017) eq. (20)
	es := hylandWexler(wet)
	ws := ratio * es / (p - es)
	c, cw := quantity.Kelvin(t).Celsius(), quantity.Kelvin(wet).Celsius()
	w := ((2501-2.326*cw)*ws - 1.006*(c-cw)) / (2501 + 1.86*c - 4.186*cw)
	return p * w / (ratio + w)
}

// PsychrometerVapourPressure returns the vapour pressure that an aspirated
// (Assmann) psychrometer's two readings mean.
//
//	e = e_s(t_w) − 6.53e-4 K⁻¹·(1 + 9.44e-4·t_w/°C)·p·(t − t_w)
//
// For a wick in a draught of at least 2.5 m/s with liquid water. Valid for
// 0 °C ≤ wet ≤ dry ≤ 60 °C; otherwise NaN and an error that wraps
// [ErrOutOfRange].
//
// Source: WMO-No. 8 (2014), part I, ch. 4, annex 4.B, equations 4.B.5 ff.
func PsychrometerVapourPressure(p quantity.Pressure, dry, wet quantity.Temperature) (quantity.Pressure, error) {
	nan := quantity.Pressure(math.NaN())
	if !pressureOK(float64(p)) {
		return nan, pressureError("PsychrometerVapourPressure", float64(p), minPressure, maxPressure)
	}
	t, w := dry.Celsius(), wet.Celsius()
	if !(w >= 0 && w <= t && t <= 60) {
		return nan, quantity.OutOfRange("air.PsychrometerVapourPressure", fmt.Sprintf("at dry bulb %v, wet bulb", dry), wet.Kelvin(), math.NaN(), math.NaN(),
			quantity.KindTemperature.Shown(), "0 °C ≤ wet ≤ dry ≤ 60 °C")
	}
	e := hylandWexler(wet.Kelvin()) - 6.53e-4*(1+9.44e-4*w)*float64(p)*(t-w)
	if e < 0 {
		return nan, vapourPressureError("PsychrometerVapourPressure", e, hylandWexler(dry.Kelvin()), "the wet bulb is too cold for this air")
	}
	return quantity.Pressure(e), nil
}
