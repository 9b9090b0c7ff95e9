package sensor

import (
	"errors"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// ErrOutOfRange is wrapped where an argument lies outside a function's range.
// It is [quantity.ErrOutOfRange].
var ErrOutOfRange = quantity.ErrOutOfRange

// ErrUndecided is wrapped where the data do not show what was asked for.
var ErrUndecided = errors.New("the data do not show it")

// Unsettled is the kind of warning about a reading that was still moving.
const Unsettled estimate.Kind = "unsettled"
