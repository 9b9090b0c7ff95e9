package air

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// StationPressure returns the absolute pressure at altitude h above mean sea
// level (geometric, as on a map) where the pressure reduced to sea level, as
// airfields and weather reports give it, is qnh.
//
//	p = p₀·[(qnh/p₀)^(1/n) − 0.0065 K/m·H/288.15 K]^n, n = 5.25588
//
// This is the definition of an altimeter setting: the standard atmosphere
// shifted in height. It differs from the product of qnh and the standard
// ratio by less than 0.1 hPa at 500 m. A weather station's "reduced" pressure
// may use the actual temperature and then differ by up to 0.3 % at 1000 m.
// Valid for 870 hPa ≤ qnh ≤ 1090 hPa (the extremes ever seen) and
// −430 m ≤ h ≤ 6000 m; otherwise NaN and an error that wraps [ErrOutOfRange].
//
// Source: ICAO Doc 7488 (standard atmosphere) and WMO-No. 8 (2014), part I,
// 3.11.2, altimeter settings; inverse of [QNH].
func StationPressure(qnh quantity.Pressure, h quantity.Length) (quantity.Pressure, error) {
	nan := quantity.Pressure(math.NaN())
	if !(qnh >= 87000 && qnh <= 109000) {
		return nan, pressureError("StationPressure", float64(qnh), 87000, 109000)
	}
	if err := altitudeError("StationPressure", h); err != nil {
		return nan, err
	}
	x := math.Pow(float64(qnh)/standardPressure, 1/barometricExponent) - lapseRate*float64(GeopotentialFromGeometric(h))/standardTemperature
	return quantity.Pressure(standardPressure * math.Pow(x, barometricExponent)), nil
}

// QNH returns the pressure reduced to sea level for the pressure p measured at
// altitude h above mean sea level, see [StationPressure]. A result outside
// 870 hPa to 1090 hPa gives NaN and an error that wraps [ErrOutOfRange]:
// pressure and altitude do not belong together.
func QNH(p quantity.Pressure, h quantity.Length) (quantity.Pressure, error) {
	nan := quantity.Pressure(math.NaN())
	if !pressureOK(float64(p)) {
		return nan, pressureError("QNH", float64(p), minPressure, maxPressure)
	}
	if err := altitudeError("QNH", h); err != nil {
		return nan, err
	}
	x := math.Pow(float64(p)/standardPressure, 1/barometricExponent) + lapseRate*float64(GeopotentialFromGeometric(h))/standardTemperature
	q := standardPressure * math.Pow(x, barometricExponent)
	if !(q >= 87000 && q <= 109000) {
		return nan, quantity.OutOfRange("air.QNH", fmt.Sprintf("%v at %v is at sea level", p, h), q, 87000, 109000,
			quantity.KindPressure.Shown(), "is the pressure already reduced to sea level?")
	}
	return quantity.Pressure(q), nil
}

func altitudeError(function string, h quantity.Length) error {
	if h >= -430 && h <= 6000 {
		return nil
	}
	hint := ""
	if m := h * quantity.Foot; m >= -430 && m <= 6000 {
		hint = fmt.Sprintf("did you mean %g ft?", float64(h))
	}
	return quantity.OutOfRange("air."+function, "altitude", float64(h), -430, 6000, quantity.KindLength.SI(), hint)
}
