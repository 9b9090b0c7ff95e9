package engine

import (
	"errors"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// A mixture that was rich gains by a leaner one and one that was lean loses, by
// up to half of what 30 K are worth (about 5 %): common practice, no source.
// From memory, the handbooks' curves lose 3 to 4 % from the best mixture to λ = 1.
func TestPowerOfMixture(t *testing.T) {
	hot, err := air.NewState(101325, quantity.Celsius(60), 0.1)
	if err != nil {
		t.Fatal(err)
	}
	cold, err := hot.Heated(quantity.Celsius(30))
	if err != nil {
		t.Fatal(err)
	}
	shift, err := ShiftOfMixture(FixedJet, hot, cold)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name      string
		before    LambdaRange
		low, high [2]float64 // ranges of the two bounds, in per cent
	}{
		{"rich", LambdaRange{0.80, 0.82, true}, [2]float64{-0.2, 0.5}, [2]float64{1, 3}},
		{"lean", LambdaRange{0.98, 1.00, true}, [2]float64{-5, -2.5}, [2]float64{-2, -0.5}},
		{"not measured", UsualLambda(), [2]float64{-5, -2.5}, [2]float64{1, 3}},
	} {
		e, err := PowerOfMixture(shift, c.before)
		if err != nil {
			t.Fatal(err)
		}
		low, high := 100*e.Interval.Low, 100*e.Interval.High
		if low < c.low[0] || low > c.low[1] || high < c.high[0] || high > c.high[1] {
			t.Errorf("%s: %.2f to %.2f %%", c.name, low, high)
		}
	}
	at := powerAt(1, 0.88, 0.035)
	if loss := 100 * (1 - at); loss < 3 || loss > 4.5 {
		t.Errorf("a stoichiometric mixture loses %.1f %%", loss)
	}
	for _, bad := range []LambdaRange{{}, {1, 0.9, false}, {0.5, 0.9, false}, {0.9, 1.2, true}} {
		if _, err := PowerOfMixture(shift, bad); !errors.Is(err, quantity.ErrOutOfRange) {
			t.Errorf("%v: %v", bad, err)
		}
	}
}
