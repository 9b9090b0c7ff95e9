package sensor

import (
	"errors"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// ErrOutOfRange is wrapped where an argument lies outside a function's range.
// It is [quantity.ErrOutOfRange].
var ErrOutOfRange = quantity.ErrOutOfRange

// temperatureError takes the bounds in °C.
func temperatureError(function, what string, t quantity.Temperature, low, high float64) error {
	return quantity.OutOfRange("sensor."+function, what, t.Kelvin(), quantity.Celsius(low).Kelvin(), quantity.Celsius(high).Kelvin(), quantity.KindTemperature.Shown(), "")
}

// ErrUndecided is wrapped where the data do not show what was asked for.
var ErrUndecided = errors.New("the data do not show it")

// Unsettled is the kind of warning about a reading that was still moving.
const Unsettled estimate.Kind = "unsettled"
