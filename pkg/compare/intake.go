package compare

import (
	"errors"
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// noAirError says in words why there is no such intake air.
type noAirError struct {
	text  string
	cause error
}

func (e *noAirError) Error() string { return e.text }

func (e *noAirError) Unwrap() error { return e.cause }

// intake is the outside air as the engine breathes it, at a temperature. That there
// is no such air is told as the verdict prints it.
func (d Difference) intake(when string, outside air.State, t quantity.Temperature) (air.State, error) {
	s, err := outside.Heated(t)
	if err == nil {
		return s, nil
	}
	say := func(t quantity.Temperature) string {
		return d.Units.Say(quantity.KindTemperature, "%.1f", t.Kelvin())
	}
	text := fmt.Sprintf("%s the engine would breathe air of %s", when, say(t))
	var r *quantity.RangeError
	if dew := outside.DewPoint(); t.Compare(dew) < 0 {
		text += fmt.Sprintf(", below the dew point of the outside air, %s, where its moisture falls out as water", say(dew))
	} else if errors.As(err, &r) {
		allowed := *r
		allowed.Function = ""
		text += fmt.Sprintf(", for which no formula holds: %v", &allowed)
	}
	return s, &noAirError{text, err}
}
