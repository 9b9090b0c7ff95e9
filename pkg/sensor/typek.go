package sensor

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Coefficients of the type K reference function, mV and °C: NIST Monograph 175
// (Burns et al. 1993), the same in IEC 60584-1:2013. Below 0 °C a polynomial;
// above it a polynomial and a term for the magnetic transition near 127 °C.
var (
	typeKCold = []float64{0, 0.394501280250e-01, 0.236223735980e-04, -0.328589067840e-06,
		-0.499048287770e-08, -0.675090591730e-10, -0.574103274280e-12, -0.310888728940e-14,
		-0.104516093650e-16, -0.198892668780e-19, -0.163226974860e-22}
	typeKHot = []float64{-0.176004136860e-01, 0.389212049750e-01, 0.185587700320e-04,
		-0.994575928740e-07, 0.318409457190e-09, -0.560728448890e-12, 0.560750590590e-15,
		-0.320207200030e-18, 0.971511471520e-22, -0.121047212750e-25}
	typeKPeak = [3]float64{0.118597600000e+00, -0.118343200000e-03, 126.9686}
)

// Approximate inverse polynomials of the same source, °C and mV, each valid up
// to a voltage, with errors up to 0.06 °C.
var typeKInverse = []struct {
	upTo float64
	d    []float64
}{
	{0, []float64{0, 2.5173462e+01, -1.1662878e+00, -1.0833638e+00, -8.9773540e-01,
		-3.7342377e-01, -8.6632643e-02, -1.0450598e-02, -5.1920577e-04}},
	{20.644, []float64{0, 2.508355e+01, 7.860106e-02, -2.503131e-01, 8.315270e-02,
		-1.228034e-02, 9.804036e-04, -4.413030e-05, 1.057734e-06, -1.052755e-08}},
	{math.Inf(1), []float64{-1.318058e+02, 4.830222e+01, -1.646031e+00, 5.464731e-02,
		-9.650715e-04, 8.802193e-06, -3.110810e-08}},
}

// Limits of the functions, °C and mV.
const (
	typeKLowest        = -270.0
	typeKLowestInverse = -200.0
	typeKHighest       = 1372.0
	rounding           = 1e-9    // °C, of the way through kelvin
	typeKLowestEMF     = -5.8915 // at −200 °C, with half a printed digit
	typeKHighestEMF    = 54.8865 // at 1372 °C, likewise
)

// polynomial returns c0 + c1·x + c2·x² + … and its derivative.
func polynomial(c []float64, x float64) (value, slope float64) {
	for i := len(c) - 1; i >= 0; i-- {
		slope = slope*x + value
		value = value*x + c[i]
	}
	return value, slope
}

// typeK returns the reference function in mV at t °C and its derivative.
func typeK(t float64) (emf, slope float64) {
	if t < 0 {
		return polynomial(typeKCold, t)
	}
	emf, slope = polynomial(typeKHot, t)
	u := t - typeKPeak[2]
	peak := typeKPeak[0] * math.Exp(typeKPeak[1]*u*u)
	return emf + peak, slope + 2*typeKPeak[1]*u*peak
}

// TypeKVoltage returns the electromotive force of a type K thermocouple whose
// measuring junction is at t and whose reference junction is at 0 °C.
//
// Valid from −270 °C to 1372 °C; otherwise NaN and an error that wraps
// ErrOutOfRange.
//
// Source: reference function of NIST Monograph 175 and IEC 60584-1:2013
// (ITS-90).
func TypeKVoltage(t quantity.Temperature) (Voltage, error) {
	c := t.Celsius()
	if !(c >= typeKLowest-rounding && c <= typeKHighest+rounding) {
		return Voltage(math.NaN()), temperatureError("TypeKVoltage", "temperature", t, typeKLowest, typeKHighest)
	}
	emf, _ := typeK(c)
	return Voltage(emf) * Millivolt, nil
}

// TypeKSensitivity returns the derivative of the reference function in volt
// per kelvin. Range and errors as for [TypeKVoltage].
func TypeKSensitivity(t quantity.Temperature) (float64, error) {
	if _, err := TypeKVoltage(t); err != nil {
		return math.NaN(), err
	}
	_, slope := typeK(t.Celsius())
	return slope * float64(Millivolt), nil
}

// TypeKTemperature returns the temperature at which the reference function has
// the value v: the published inverse polynomial, then Newton's steps on the
// function itself, so that the two directions agree to better than 1 mK.
//
// Valid from −200 °C to 1372 °C (−5.891 mV to 54.886 mV); otherwise an invalid
// temperature and an error that wraps ErrOutOfRange. An open circuit often
// reads as a value beyond.
func TypeKTemperature(v Voltage) (quantity.Temperature, error) {
	emf := v.Millivolts()
	if !(emf >= typeKLowestEMF && emf <= typeKHighestEMF) {
		return quantity.Kelvin(math.NaN()), quantity.OutOfRange("sensor.TypeKTemperature", "voltage", float64(v), typeKLowestEMF*float64(Millivolt), typeKHighestEMF*float64(Millivolt), quantity.KindVoltage.Unit("mV"), "")
	}
	c := 0.0
	for _, piece := range typeKInverse {
		if emf <= piece.upTo {
			c, _ = polynomial(piece.d, emf)
			break
		}
	}
	for range 3 {
		e, slope := typeK(c)
		c -= (e - emf) / slope
	}
	return quantity.Celsius(c), nil
}
