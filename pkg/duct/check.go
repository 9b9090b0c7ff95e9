package duct

import "github.com/bonnetbook/bonnetbook/pkg/quantity"

// ErrOutOfRange is wrapped by errors about arguments outside the range in
// which a formula holds or a part makes sense. It is [quantity.ErrOutOfRange].
var ErrOutOfRange = quantity.ErrOutOfRange

// rangeError takes SI values and the unit to show them in.
func rangeError(function, what string, got, low, high float64, unit quantity.Unit, hint string) error {
	return quantity.OutOfRange("duct."+function, what, got, low, high, unit, hint)
}

// plain is the unit of numbers without one.
var plain quantity.Unit
