package duct

import (
	"errors"
	"fmt"
)

// ErrOutOfRange is wrapped by errors about arguments outside the range in
// which a formula holds or a part makes sense.
var ErrOutOfRange = errors.New("outside the valid range")

func rangeError(function, what string, got float64, unit string, low, high float64, hint string) error {
	if hint != "" {
		hint = "; " + hint
	}
	return fmt.Errorf("duct.%s: %s %.6g %s: %w (%.6g to %.6g %s)%s", function, what, got, unit, ErrOutOfRange, low, high, unit, hint)
}
