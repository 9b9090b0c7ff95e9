package compare

import (
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
