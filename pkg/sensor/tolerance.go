package sensor

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Class is a tolerance class of type K thermocouple wire as delivered. It does
// not cover ageing, the logger, the mounting, or the terminals' temperature.
type Class int

// The classes.
const (
	Class1       Class = iota // IEC 60584-1:2013
	Class2                    // IEC 60584-1:2013, the usual one
	Class3                    // IEC 60584-1:2013, for cold
	ASTMStandard              // ASTM E230
	ASTMSpecial               // ASTM E230
)

var classes = [...]struct {
	name              string
	lowest, highest   float64 // °C
	absolute, portion float64 // the larger of K and share of |t|
}{
	{"IEC class 1", -40, 1000, 1.5, 0.004},
	{"IEC class 2", -40, 1200, 2.5, 0.0075},
	{"IEC class 3", -200, 40, 2.5, 0.015},
	{"ASTM standard limits", 0, 1260, 2.2, 0.0075},
	{"ASTM special limits", 0, 1260, 1.1, 0.004},
}

// String returns the class's name.
func (c Class) String() string {
	if c < 0 || int(c) >= len(classes) {
		return "unknown class"
	}
	return classes[c].name
}

// Tolerance returns the largest permitted deviation from the reference
// function at t: the larger of a fixed value and a share of the temperature in
// °C. Outside the class's range it is NaN and the error wraps ErrOutOfRange.
//
// Source: IEC 60584-1:2013, tolerances for type K; ASTM E230 initial limits,
// the range 0 °C to 1260 °C as commonly tabulated.
func (c Class) Tolerance(t quantity.Temperature) (quantity.TemperatureDifference, error) {
	nan := quantity.TemperatureDifference(math.NaN())
	if c < 0 || int(c) >= len(classes) {
		return nan, fmt.Errorf("sensor: tolerance class %d is not known", int(c))
	}
	k := classes[c]
	x := t.Celsius()
	if !(x >= k.lowest-rounding && x <= k.highest+rounding) {
		return nan, fmt.Errorf("sensor: %s at %.6g °C: %w (%g to %g °C)", k.name, x, ErrOutOfRange, k.lowest, k.highest)
	}
	return quantity.KelvinDifference(math.Max(k.absolute, k.portion*math.Abs(x))), nil
}

// StandardUncertainty returns the tolerance divided by √3: all that is known
// is that the deviation lies within it (JCGM 100:2008, 4.3.7).
//
// Errors are those of [Class.Tolerance].
func (c Class) StandardUncertainty(t quantity.Temperature) (quantity.TemperatureDifference, error) {
	d, err := c.Tolerance(t)
	return quantity.TemperatureDifference(float64(d) / math.Sqrt(3)), err
}
