package sensor

import "errors"

// ErrOutOfRange is wrapped where an argument lies outside a function's range.
var ErrOutOfRange = errors.New("outside the valid range")

// ErrUndecided is wrapped where the data do not show what was asked for.
var ErrUndecided = errors.New("the data do not show it")
