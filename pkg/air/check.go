package air

import (
	"errors"
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// ErrOutOfRange is wrapped by the errors of all functions of this package
// whose arguments are outside the range in which the formula holds.
var ErrOutOfRange = errors.New("outside the valid range")

// Limits of the arguments of most functions. Absolute pressure of ambient or
// intake air, and temperature from a hard winter to air that touches an
// exhaust shield.
const (
	minPressure    = 10e3              // Pa
	maxPressure    = 120e3             // Pa
	minTemperature = 233.15 - rounding // K, −40 °C
	maxTemperature = 423.15 + rounding // K, 150 °C

	// rounding lets −40 °C pass, which is 233.14999999999998 K.
	rounding = 1e-9
)

// The checks return quickly in the usual case, so that they cost a comparison
// or two for each sample; the error is built elsewhere.

func pressureOK(p float64) bool    { return p >= minPressure && p <= maxPressure }
func temperatureOK(t float64) bool { return t >= minTemperature && t <= maxTemperature }
func humidityOK(h float64) bool    { return h >= 0 && h <= 1 }

// inputError says what is wrong with pressure p in Pa, temperature t in K and
// relative humidity h; nil if nothing is.
func inputError(function string, p, t, h float64) error {
	switch {
	case !pressureOK(p):
		return pressureError(function, p, minPressure, maxPressure)
	case !temperatureOK(t):
		return temperatureError(function, t, minTemperature, maxTemperature)
	case !humidityOK(h):
		return humidityError(function, h)
	}
	return nil
}

func pressureError(function string, p, low, high float64) error {
	hint := ""
	for _, u := range []struct {
		name      string
		low, high float64
		factor    float64
	}{
		{"bar", 0.3, 1.2, 1e5}, {"inHg", 20, 32, float64(quantity.InchOfMercury)},
		{"kPa", 50, 115, 1e3}, {"hPa", 500, 1150, 100},
		{"mmHg", 400, 499, 101325.0 / 760},
	} {
		if p >= u.low && p <= u.high {
			hint = fmt.Sprintf("; did you mean %.6g %s?", p, u.name)
		}
	}
	return fmt.Errorf("air.%s: pressure %.6g Pa: %w (%.6g Pa to %.6g Pa)%s", function, p, ErrOutOfRange, low, high, hint)
}

func temperatureError(function string, t, low, high float64) error {
	hint := ""
	switch {
	case t > -60 && t < 130:
		hint = fmt.Sprintf("; did you mean %.6g °C (quantity.Celsius)?", t)
	case t-273.15 > 233 && t-273.15 < 424:
		hint = fmt.Sprintf("; did you mean %.6g K (quantity.Kelvin)?", t-273.15)
	}
	return fmt.Errorf("air.%s: temperature %.6g K (%.6g °C): %w (%.6g K to %.6g K)%s", function, t, t-273.15, ErrOutOfRange, low, high, hint)
}

func humidityError(function string, h float64) error {
	hint := ""
	if h > 1 && h <= 100 {
		hint = fmt.Sprintf("; did you mean %.6g %% (%.6g*quantity.PercentHumidity)?", h, h)
	}
	return fmt.Errorf("air.%s: relative humidity %.6g: %w (fraction of saturation, 0 to 1)%s", function, h, ErrOutOfRange, hint)
}

func vapourPressureError(function string, e, limit float64, what string) error {
	return fmt.Errorf("air.%s: vapour pressure %.6g Pa: %w (0 Pa to %.6g Pa, %s)", function, e, ErrOutOfRange, limit, what)
}
