package sensor

import (
	"errors"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// A probe takes its own stated limits, both ends, in whatever unit they were
// written, and refuses what lies beyond.
func TestBeadTakesItsOwnLimits(t *testing.T) {
	for _, c := range []struct {
		diameter  quantity.Length
		air, wall quantity.Temperature
		speed     quantity.Speed
		ok        bool
	}{
		{0.1 * quantity.Millimetre, quantity.Celsius(-40), quantity.Celsius(-40), 0.1, true},
		{10 * quantity.Millimetre, quantity.Celsius(200), quantity.Celsius(900), 100, true},
		{quantity.Millimetre, quantity.Fahrenheit(-40), quantity.Fahrenheit(1652), 1, true},
		{quantity.Millimetre, quantity.Celsius(-40.001), quantity.Celsius(20), 1, false},
		{quantity.Millimetre, quantity.Celsius(20), quantity.Celsius(900.001), 1, false},
	} {
		_, err := Bead{Diameter: c.diameter}.InAir(c.air, c.speed, c.wall)
		if c.ok != (err == nil) || !c.ok && !errors.Is(err, ErrOutOfRange) {
			t.Errorf("%v mm in %v, wall %v: %v", c.diameter.Millimetres(), c.air, c.wall, err)
		}
	}
	for c, k := range classes {
		for _, x := range []float64{k.lowest, k.highest} {
			for _, at := range []quantity.Temperature{quantity.Celsius(x), quantity.Fahrenheit(x*1.8 + 32)} {
				if _, err := Class(c).Tolerance(at); err != nil {
					t.Errorf("%s at its limit, %v: %v", k.name, at, err)
				}
			}
		}
	}
}
