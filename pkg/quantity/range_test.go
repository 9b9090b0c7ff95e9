package quantity_test

import (
	"errors"
	"math"
	"testing"

	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func TestOutOfRange(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		err  error
		want string
	}{
		{OutOfRange("duct.Flow", "volume flow", 60, 0, 1, KindVolumeFlow.SI(), "litres per second are quantity.LitrePerSecond"),
			"duct.Flow: volume flow 60 m³/s: outside the valid range (0 to 1 m³/s); litres per second are quantity.LitrePerSecond"},
		{OutOfRange("", "thermostat", Celsius(20).Kelvin(), Celsius(60).Kelvin(), Celsius(110).Kelvin(), KindTemperature.Shown(), ""),
			"thermostat 20 °C: outside the valid range (60 to 110 °C)"},
		{OutOfRange("engine.Check", "compression ratio", 40, 4, 14, Unit{}, ""),
			"engine.Check: compression ratio 40: outside the valid range (4 to 14)"},
		{OutOfRange("f", "opening", 6, 1, 2, KindAngle.SI(), ""), "f: opening 6 rad: outside the valid range (1 to 2 rad)"},
		{OutOfRange("f", "NTU", -1, 0, inf, Unit{}, ""), "f: NTU -1: outside the valid range (from 0)"},
		{OutOfRange("f", "x", 3, -inf, 2, KindLength.SI(), ""), "f: x 3 m: outside the valid range (up to 2 m)"},
		{OutOfRange("f", "arrangement", 9, nan, nan, Unit{}, "there are five"), "f: arrangement 9: outside the valid range; there are five"},
	} {
		if c.err.Error() != c.want {
			t.Errorf("got  %s\nwant %s", c.err, c.want)
		}
		var r *RangeError
		if !errors.Is(c.err, ErrOutOfRange) || !errors.As(c.err, &r) {
			t.Errorf("%v is no ErrOutOfRange or no RangeError", c.err)
		}
	}
}
