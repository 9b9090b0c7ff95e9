package sensor

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Coefficients of the saturation line, IAPWS-IF97 (2007 revision), table 34;
// index 0 is not used, so that the numbers are those of the text.
var if97 = [11]float64{0,
	0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5,
	-0.32325550322333e7, 0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6,
	-0.23855557567849, 0.65017534844798e3}

// Limits of the saturation line: 0 °C to the critical point.
const (
	saturationHighest = 647.096                    // K
	saturationLow     = 611.2127 * quantity.Pascal // at 0 °C
	saturationHigh    = 22.064 * quantity.Megapascal
)

var saturationLowest = quantity.Celsius(0).Kelvin()

// SaturationTemperature returns the temperature at which water boils at the
// absolute pressure p, at the place where it boils: not reduced to sea level.
// Near sea level it changes by 0.028 K per hectopascal.
//
// Valid from 611.21 Pa to 22.064 MPa; otherwise an invalid temperature and an
// error that wraps ErrOutOfRange. For pure water: coolant with glycol boils
// higher and is no reference.
//
// Source: IAPWS-IF97 (2007), region 4, equation (31).
func SaturationTemperature(p quantity.Pressure) (quantity.Temperature, error) {
	if !(p >= saturationLow-0.01 && p <= saturationHigh) {
		return quantity.Kelvin(math.NaN()), quantity.OutOfRange("sensor.SaturationTemperature", "pressure", float64(p), float64(saturationLow), float64(saturationHigh), quantity.KindPressure.Shown(), "")
	}
	n := &if97
	b := math.Sqrt(math.Sqrt(p.Megapascals()))
	e := b*b + n[3]*b + n[6]
	f := n[1]*b*b + n[4]*b + n[7]
	g := n[2]*b*b + n[5]*b + n[8]
	d := 2 * g / (-f - math.Sqrt(f*f-4*e*g))
	s := n[10] + d
	return quantity.Kelvin((s - math.Sqrt(s*s-4*(n[9]+n[10]*d))) / 2), nil
}

// SaturationPressure returns the absolute pressure at which water boils at t.
//
// Valid from 0 °C to 373.946 °C; otherwise NaN and an error that wraps
// ErrOutOfRange.
//
// Source: IAPWS-IF97 (2007), region 4, equation (30).
func SaturationPressure(t quantity.Temperature) (quantity.Pressure, error) {
	k := t.Kelvin()
	if !(k >= saturationLowest-rounding && k <= saturationHighest) {
		return quantity.Pressure(math.NaN()), quantity.OutOfRange("sensor.SaturationPressure", "temperature", k, saturationLowest, saturationHighest, quantity.KindTemperature.Shown(), "")
	}
	n := &if97
	x := k + n[9]/(k-n[10])
	a := x*x + n[1]*x + n[2]
	b := n[3]*x*x + n[4]*x + n[5]
	c := n[6]*x*x + n[7]*x + n[8]
	r := 2 * c / (-b + math.Sqrt(b*b-4*a*c))
	return quantity.Pressure(r*r*r*r) * quantity.Megapascal, nil
}
