package air

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// ErrOutOfRange is wrapped by the errors of all functions of this package
// whose arguments are outside the range in which the formula holds. It is
// [quantity.ErrOutOfRange].
var ErrOutOfRange = quantity.ErrOutOfRange

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
	return quantity.OutOfRange("air."+function, "pressure", p, low, high, quantity.KindPressure.SI(), otherUnit(quantity.KindPressure, p))
}

func temperatureError(function string, t, low, high float64) error {
	shown, hint := quantity.KindTemperature.Shown(), ""
	if t < 0 {
		return quantity.OutOfRange("air."+function, "temperature", t, low, high, shown, "nothing is colder than −273.15 °C")
	}
	if t < 200 { // °C or °F given as kelvin
		shown, hint = quantity.KindTemperature.SI(), otherUnit(quantity.KindTemperature, t)
	} else if c := shown.FromSI(t); c > 233 && c < 424 { // kelvin given as °C
		hint = fmt.Sprintf("did you mean %.6g K (quantity.Kelvin)?", c)
	}
	return quantity.OutOfRange("air."+function, "temperature", t, low, high, shown, hint)
}

// otherUnit asks whether an SI value was meant in another unit.
func otherUnit(kind quantity.Kind, x float64) string {
	var meant []string
	for _, u := range quantity.Plausible(kind, x) {
		if u != kind.SI() {
			meant = append(meant, quantity.Format(u.ToSI(x), u, 6))
		}
	}
	if len(meant) == 0 {
		return ""
	}
	return "did you mean " + strings.Join(meant, " or ") + "?"
}

func humidityError(function string, h float64) error {
	hint := "it is a fraction of saturation"
	if h > 1 && h <= 100 {
		hint = fmt.Sprintf("did you mean %.6g %% (%.6g*quantity.PercentHumidity)?", h, h)
	}
	return quantity.OutOfRange("air."+function, "relative humidity", h, 0, 1, quantity.KindRelativeHumidity.SI(), hint)
}

func vapourPressureError(function string, e, limit float64, what string) error {
	return quantity.OutOfRange("air."+function, "vapour pressure", e, 0, limit, quantity.KindPressure.SI(), "the upper end is "+what)
}
