package air

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// SaturationFormula computes the saturation vapour pressure over a plane
// surface of liquid water, below 0 °C over supercooled water, of pure water
// vapour (no enhancement factor). The zero value is HylandWexler, the default.
type SaturationFormula int

const (
	// HylandWexler is equation (6) of ASHRAE Fundamentals (2017), ch. 1, after
	// Hyland and Wexler, ASHRAE Transactions 89(2A) (1983) 500–519. Published
	// for 0 °C to 200 °C; here also used over supercooled water down to −40 °C,
	// where it lies within 1 % of Murphy and Koop (2005). Within 0.03 % of
	// IAPWS-IF97 from 0 °C to 100 °C.
	HylandWexler SaturationFormula = iota
	// Magnus is the WMO's: 611.2 Pa·exp(17.62 t/(243.12 °C + t)), WMO-No. 8
	// (2014), part I, ch. 4, annex 4.B, for −45 °C to 60 °C. 0.3 % low at 20 °C.
	Magnus
	// Buck is 611.21 Pa·exp((18.678 − t/234.5 °C)·t/(257.14 °C + t)), Buck
	// Research CR-1A manual (1996), after Buck, J. Appl. Meteorol. 20 (1981)
	// 1527–1532, for −40 °C to 60 °C. Within 0.05 % of IAPWS-IF97 above 0 °C.
	Buck
	// Bolton is 611.2 Pa·exp(17.67 t/(t + 243.5 °C)), Bolton, Mon. Weather Rev.
	// 108 (1980) 1046–1053, eq. (10), for −35 °C to 35 °C.
	Bolton
)

var formulaNames = [...]string{"Hyland–Wexler", "Magnus (WMO)", "Buck 1996", "Bolton"}

// String returns the formula's name.
func (f SaturationFormula) String() string {
	if f < 0 || int(f) >= len(formulaNames) {
		return "unknown saturation formula"
	}
	return formulaNames[f]
}

// Range returns the temperatures between which the formula is accepted here.
func (f SaturationFormula) Range() (low, high quantity.Temperature) {
	lo, hi := f.limits()
	return quantity.Kelvin(lo), quantity.Kelvin(hi)
}

func (f SaturationFormula) limits() (low, high float64) {
	switch f {
	case HylandWexler:
		return minTemperature, 473.15 + rounding
	case Magnus:
		return 228.15 - rounding, 333.15 + rounding
	case Buck:
		return 233.15 - rounding, 333.15 + rounding
	case Bolton:
		return 238.15 - rounding, 308.15 + rounding
	}
	return math.Inf(1), math.Inf(-1) // nothing is inside
}

// VapourPressure returns the saturation vapour pressure at temperature t.
// Outside [SaturationFormula.Range] it returns NaN and an error that wraps
// [ErrOutOfRange].
func (f SaturationFormula) VapourPressure(t quantity.Temperature) (quantity.Pressure, error) {
	lo, hi := f.limits()
	if k := t.Kelvin(); !(k >= lo && k <= hi) {
		return quantity.Pressure(math.NaN()), temperatureError("VapourPressure", k, lo, hi)
	}
	return quantity.Pressure(f.saturation(t.Kelvin())), nil
}

// SaturationVapourPressure returns the saturation vapour pressure over liquid
// water at temperature t by the default formula, [HylandWexler]; range and
// errors as for [SaturationFormula.VapourPressure].
func SaturationVapourPressure(t quantity.Temperature) (quantity.Pressure, error) {
	return HylandWexler.VapourPressure(t)
}

// saturation returns the vapour pressure in Pa at k kelvin, unchecked.
func (f SaturationFormula) saturation(k float64) float64 {
	t := quantity.Kelvin(k).Celsius()
	switch f {
	case Magnus:
		return 611.2 * math.Exp(17.62*t/(243.12+t))
	case Buck:
		return 611.21 * math.Exp((18.678-t/234.5)*(t/(257.14+t)))
	case Bolton:
		return 611.2 * math.Exp(17.67*t/(t+243.5))
	}
	return hylandWexler(k)
}

// hylandWexler takes the logarithm from a series, which is a third faster than
// math.Log and what most of the time of a density goes into.
func hylandWexler(k float64) float64 {
	return math.Exp(-5.8002206e3/k + 1.3914993 + k*(-4.8640239e-2+k*(4.1764768e-5-1.4452093e-8*k)) + 6.5459673*logKelvin(k))
}

// logKelvin returns ln k for 200 ≤ k ≤ 480 with an error below 2e-12, and is
// no logarithm elsewhere: ln k = ln 330 + 2·artanh[(k − 330)/(k + 330)].
func logKelvin(k float64) float64 {
	const ln330 = 5.799092654460526
	x := (k - 330) / (k + 330)
	y := x * x
	return ln330 + 2*x*(1+y*(1.0/3+y*(1.0/5+y*(1.0/7+y*(1.0/9+y*(1.0/11+y*(1.0/13+y*(1.0/15+y/17))))))))
}

// dewPoint returns the temperature in K at which the default formula gives e
// pascal: Newton's method on ln e, started from Magnus' closed inverse.
func dewPoint(e float64) float64 {
	ln := math.Log(e / 611.2)
	k := quantity.Celsius(243.12 * ln / (17.62 - ln)).Kelvin()
	for range 4 {
		// d(ln e)/dT of the Hyland–Wexler formula
		slope := 5.8002206e3/(k*k) - 4.8640239e-2 + k*(2*4.1764768e-5-3*1.4452093e-8*k) + 6.5459673/k
		step := (math.Log(hylandWexler(k)) - math.Log(e)) / slope
		k -= step
		if math.Abs(step) < 1e-9 {
			break
		}
	}
	return k
}
