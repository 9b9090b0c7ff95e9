package compare

import (
	"errors"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func rise(k float64) estimate.Estimate {
	return estimate.Between("rise", k, quantity.KindTemperatureDifference.SI(), estimate.NoInterval(), estimate.BetweenDrives, math.NaN())
}

// Intake from 60 °C back to 30 °C at constant pressure, dry: density
// 333.15/303.15 − 1 = +9.9 %, ISO 1585 (333.15/303.15)^0.6 − 1 = +5.8 %,
// DIN 70020 square root +4.8 %: worked by hand from the formulas.
func TestPowerOfByHand(t *testing.T) {
	outside, err := air.NewState(101325*quantity.Pascal, quantity.Celsius(20), 0)
	if err != nil {
		t.Fatal(err)
	}
	d := Difference{Stratum: "road", Before: Mean{Rise: rise(40), Drives: 3}, After: Mean{Rise: rise(10), Drives: 3}, Verdict: Cooler,
		Change: estimate.Between("change", -30, quantity.KindTemperatureDifference.SI(), estimate.Interval{Low: -32, High: -28, Level: 0.95}, estimate.BetweenDrives, 4)}
	w, err := PowerOf(d, outside)
	if err != nil {
		t.Fatal(err)
	}
	r := 333.15 / 303.15
	lo, hi := w.Effect.Range()
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"density", w.Effect.DensityChange, r - 1},
		{"DIN 70020", lo, math.Sqrt(r) - 1},
		{"ISO 1585", hi, math.Pow(r, 0.6) - 1},
	} {
		if math.Abs(c.got-c.want) > 2e-4 {
			t.Errorf("%s: %.5f, by hand %.5f", c.what, c.got, c.want)
		}
	}
	if !(w.Power.Interval.Low < lo && w.Power.Interval.High > hi) {
		t.Errorf("interval %v to %v does not widen %v to %v", w.Power.Interval.Low, w.Power.Interval.High, lo, hi)
	}
	if len(w.Cautions) == 0 {
		t.Error("no word about part throttle")
	}
}

// Intake air that can't be is told in words for the driver: air of 20 °C that is
// full of water by eight tenths has its dew point at 16.4 °C (ASHRAE's table of
// saturation: 2339 Pa at 20 °C, 1871 Pa at 16.4 °C), which a rise of −5 K passes.
func TestPowerOfAirThatCannotBe(t *testing.T) {
	for _, c := range []struct {
		before, change, low, high float64
		want                      string
	}{
		{8, -6, -13, 1, "at the end of the change's interval, −13.0 K, the engine would breathe air of 15.0 °C, below the dew point of the outside air, 16.4 °C, where its moisture falls out as water; more drives narrow the interval"},
		{8, -13, -14, -12, "after the change the engine would breathe air of 15.0 °C, below the dew point of the outside air, 16.4 °C, where its moisture falls out as water"},
		{-5, 8, 7, 9, "before the change the engine would breathe air of 15.0 °C, below the dew point of the outside air, 16.4 °C, where its moisture falls out as water"},
		{8, 140, 139, 141, "after the change the engine would breathe air of 168.0 °C, for which no formula holds: temperature 168 °C: outside the valid range (-40 to 150 °C)"},
	} {
		outside, err := air.NewState(101325*quantity.Pascal, quantity.Celsius(20), 0.8)
		if err != nil {
			t.Fatal(err)
		}
		d := Difference{Stratum: "road", Before: Mean{Rise: rise(c.before), Drives: 3}, After: Mean{Rise: rise(c.before + c.change), Drives: 3}, Verdict: Undecided,
			Change: estimate.Between("change", c.change, quantity.KindTemperatureDifference.SI(), estimate.Interval{Low: c.low, High: c.high, Level: 0.95}, estimate.BetweenDrives, 4)}
		_, err = PowerOf(d, outside)
		if !errors.Is(err, air.ErrOutOfRange) {
			t.Fatalf("%v: %v", c, err)
		}
		if err.Error() != c.want {
			t.Errorf("%q, want %q", err, c.want)
		}
	}
}
