package engine_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func dryAir(t *testing.T, pascal, celsius float64) air.State {
	t.Helper()
	s, err := air.NewState(Pressure(pascal), Celsius(celsius), 0)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func within(t *testing.T, what string, got, want, half float64) {
	t.Helper()
	if !(math.Abs(got-want) <= half) {
		t.Errorf("%s: got %.8g, want %.8g ± %g", what, got, want, half)
	}
}

// Each standard's factor is 1 in its reference air, and worked by hand from
// the formula's text at one other state.
func TestFactorReferenceAndHand(t *testing.T) {
	for _, s := range engine.Standards() {
		k, p, _ := s.Reference()
		f, err := s.Factor(dryAir(t, float64(p), k.Celsius()))
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint(s, " at reference"), f.Value, 1, 1e-12)
		if f.Extrapolated {
			t.Errorf("%v is extrapolated in its own reference air: %v", s, f.Outside)
		}
	}
	for _, c := range []struct {
		s             engine.Standard
		pascal, t     float64
		want, printed float64
	}{
		// (99/95)^1.2·(308/298)^0.6 = 1.050733·1.019997
		{engine.ISO1585, 95000, 34.85, 1.071745, 1e-5},
		// 1.180·(990/950)·√(308/298) − 0.180 = 1.229684·1.016640 − 0.18
		{engine.SAEJ1349, 95000, 35, 1.070146, 1e-5},
		// 1013/950·√(303/293) = 1.066316·1.016921
		{engine.DIN70020, 95000, 29.85, 1.084359, 2e-6},
	} {
		f, err := c.s.Factor(dryAir(t, c.pascal, c.t))
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint(c.s), f.Value, c.want, c.printed)
	}
}

// A maker's workshop table of K = (990/p)·√((273 + t)/298), which is the
// dry-air part of SAE J1349's formula: hPa, °C, K as printed.
func TestSAEAgainstWorkshopTable(t *testing.T) {
	for _, c := range []struct{ hectopascal, celsius, k float64 }{
		{1040, 0, 0.9111}, {1015, 25, 0.9754}, {1000, 25, 0.9900}, {1000, 50, 1.0307}, {1020, 40, 0.9947}, {990, 0, 0.9571},
	} {
		f, err := engine.SAEJ1349.Factor(dryAir(t, 100*c.hectopascal, c.celsius))
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint(c.hectopascal, c.celsius), (f.Value+0.180)/1.180, c.k, 0.00005)
	}
}

// Worked outside this package from the three formulas: change of
// full-throttle power in percent when dry intake air at 99 kPa goes from
// 30 °C to t, and the density's.
func TestChangeOfPowerTable(t *testing.T) {
	for _, c := range []struct{ t, density, iso, sae, din float64 }{
		{40, -3.19, -1.93, -1.89, -1.61}, {50, -6.19, -3.76, -3.69, -3.14}, {55, -7.62, -4.64, -4.55, -3.88},
		{60, -9.00, -5.50, -5.39, -4.61}, {62, -9.55, -5.84, -5.72, -4.89},
	} {
		e, err := engine.ChangeOfPower(dryAir(t, 99e3, 30), dryAir(t, 99e3, c.t))
		if err != nil {
			t.Fatal(err)
		}
		within(t, "density", 100*e.DensityChange, c.density, 0.0051)
		for i, want := range []float64{c.iso, c.sae, c.din} {
			within(t, fmt.Sprint(c.t, e.Estimates[i].Standard), 100*e.Estimates[i].Change, want, 0.0051)
		}
		if e.Weakest != e.Estimates[2].Change || e.Strongest != e.Estimates[0].Change || !e.DensityIsBound {
			t.Errorf("%v °C: span %v to %v, bound %v", c.t, e.Weakest, e.Strongest, e.DensityIsBound)
		}
		if wantExtrapolated := c.t > 35; e.Extrapolated != wantExtrapolated || strings.Contains(e.String(), "extrapolated:") != wantExtrapolated {
			t.Errorf("%v °C: extrapolated %v", c.t, e.Extrapolated)
		}
	}
	back, err := engine.ChangeOfPower(dryAir(t, 99e3, 60), dryAir(t, 99e3, 30))
	if err != nil {
		t.Fatal(err)
	}
	within(t, "60 → 30 density", 100*back.DensityChange, 9.9, 0.05)
	for i, want := range []float64{5.8, 5.7, 4.8} {
		within(t, fmt.Sprint("60 → 30 ", back.Estimates[i].Standard), 100*back.Estimates[i].Change, want, 0.051)
	}
}

// 1 kPa of pressure costs 1.2 % by ISO (1.2 × 1 %), more than its density.
func TestPressureLossIsNotBoundByDensity(t *testing.T) {
	e, err := engine.ChangeOfPower(dryAir(t, 100e3, 25), dryAir(t, 99e3, 25))
	if err != nil {
		t.Fatal(err)
	}
	within(t, "ISO", 100*e.Estimates[0].Change, -1.2, 0.01)
	within(t, "density", 100*e.DensityChange, -1, 1e-9)
	if e.DensityIsBound || !strings.Contains(e.String(), "no bound here") {
		t.Errorf("density is called a bound:\n%v", e)
	}
	if e.Extrapolated {
		t.Error("25 °C and 99 kPa are inside every window")
	}
}

func TestEffectTextSaysWhatItIs(t *testing.T) {
	e, err := engine.ChangeOfPower(dryAir(t, 101325, 20), dryAir(t, 101325, 55))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"not power", "extrapolated", "Only full throttle loses", "Extrapolation in kind"} {
		if !strings.Contains(e.String(), want) {
			t.Errorf("text lacks %q:\n%v", want, e)
		}
	}
	e, err = engine.ChangeOfPower(air.State{Pressure: 1013, Temperature: Celsius(20)}, dryAir(t, 101325, 55))
	if !errors.Is(err, air.ErrOutOfRange) || !math.IsNaN(e.Weakest) || !strings.Contains(err.Error(), "did you mean 1013 hPa?") {
		t.Errorf("%v, %v", e.Weakest, err)
	}
}
