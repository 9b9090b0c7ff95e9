package quantity

import (
	"errors"
	"fmt"
	"math"
)

// ErrOutOfRange is wrapped by every error of the library about a value outside
// the range in which a formula holds or a description makes sense.
var ErrOutOfRange = errors.New("outside the valid range")

// RangeError says which value is out of range, and what is allowed. It wraps
// [ErrOutOfRange].
type RangeError struct {
	Function string // where it was refused, as "air.Density"; may be empty
	What     string // what the value is, as "pressure"
	// Got is the value and Low, High the bounds, all in SI. An infinite bound
	// is none; both NaN leave the range to Hint.
	Got, Low, High float64
	Unit           Unit   // in which they are shown
	Hint           string // what was probably meant; may be empty
}

// OutOfRange returns the error for a value that is out of range, a *[RangeError]:
// got, low and high are in SI units and shown in the given one.
func OutOfRange(function, what string, got, low, high float64, unit Unit, hint string) error {
	return &RangeError{function, what, got, low, high, unit, hint}
}

// Unwrap returns [ErrOutOfRange].
func (e *RangeError) Unwrap() error { return ErrOutOfRange }

// Error returns, for example, "duct.Flow: volume flow 60 m³/s: outside the
// valid range (0 to 1 m³/s); litres per second are quantity.LitrePerSecond".
func (e *RangeError) Error() string {
	const digits = 6
	s := e.What + " " + e.Unit.text(e.Unit.FromSI(e.Got), digits) + ": " + ErrOutOfRange.Error()
	if e.Function != "" {
		s = e.Function + ": " + s
	}
	low, high := e.Unit.FromSI(e.Low), e.Unit.FromSI(e.High)
	switch {
	case math.IsNaN(low) && math.IsNaN(high):
	case math.IsInf(low, -1):
		s += fmt.Sprintf(" (up to %s)", e.Unit.text(high, digits))
	case math.IsInf(high, 1):
		s += fmt.Sprintf(" (from %s)", e.Unit.text(low, digits))
	default:
		s += fmt.Sprintf(" (%s to %s)", significant(low, digits), e.Unit.text(high, digits))
	}
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}
