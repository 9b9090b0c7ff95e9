package engine

import (
	"errors"
	"fmt"
)

// ErrOutOfRange is wrapped by errors about arguments outside the range in
// which a formula or description makes sense.
var ErrOutOfRange = errors.New("outside the valid range")

// ErrMissing is wrapped by errors about a value that the description leaves
// out and the result needs.
var ErrMissing = errors.New("missing in the engine's description")

func rangeError(function, what string, got float64, unit string, low, high float64, hint string) error {
	if hint != "" {
		hint = "; " + hint
	}
	return fmt.Errorf("engine.%s: %s %.6g %s: %w (%.6g to %.6g %s)%s", function, what, got, unit, ErrOutOfRange, low, high, unit, hint)
}

// PartThrottleNote says where a change of power exists at all.
const PartThrottleNote = "Only full throttle loses: at part throttle the driver opens the throttle a little further and has the same power; " +
	"what changes there is throttle position, mixture and temperature."
