package engine

import (
	"errors"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// ErrOutOfRange is wrapped by errors about arguments outside the range in
// which a formula or description makes sense. It is [quantity.ErrOutOfRange].
var ErrOutOfRange = quantity.ErrOutOfRange

// ErrMissing is wrapped by errors about a value that the description leaves
// out and the result needs.
var ErrMissing = errors.New("missing in the engine's description")

// rangeError takes SI values and the unit to show them in.
func rangeError(function, what string, got, low, high float64, unit quantity.Unit, hint string) error {
	return quantity.OutOfRange("engine."+function, what, got, low, high, unit, hint)
}

// plain is the unit of numbers without one.
var plain quantity.Unit

// PartThrottleNote says where a change of power exists at all.
const PartThrottleNote = "Only full throttle loses: at part throttle the driver opens the throttle a little further and has the same power; " +
	"what changes there is throttle position, mixture and temperature."
