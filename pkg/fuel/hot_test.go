package fuel_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/fuel"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func within(t *testing.T, what string, got, want, half float64) {
	t.Helper()
	if !(math.Abs(got-want) <= half) {
		t.Errorf("%s: got %.8g, want %.8g ± %g", what, got, want, half)
	}
}

// Two computers of others, for petrol of 10 psi Reid: a chemist's flash of a
// mixture of hydrocarbons, 5.2 psia at 20 °C and 33 psia at 80 °C
// (a thread of engineers), and a rule of thumb for tanks (within a
// quarter), Reid·exp(0.0266·(t/°F − 100)) (an online calculator for tanks).
// Neither knows the other.
func TestVapourPressure(t *testing.T) {
	for _, c := range []struct{ celsius, psia, tolerance float64 }{{20, 5.2, 0.2}, {80, 33, 0.05}, {37.8, 10, 0.08}} {
		p, err := fuel.VapourPressure(10*PoundPerSquareInch, Celsius(c.celsius))
		if err != nil {
			t.Fatal(err)
		}
		within(t, "flash", float64(p/PoundPerSquareInch)/c.psia, 1, c.tolerance)
	}
	for f := 85.0; f <= 130; f += 5 {
		p, err := fuel.VapourPressure(10*PoundPerSquareInch, Fahrenheit(f))
		if err != nil {
			t.Fatal(err)
		}
		within(t, "rule of thumb", float64(p)/(10*float64(PoundPerSquareInch)*math.Exp(0.0266*(f-100))), 1, 0.25)
	}
	for _, c := range []struct {
		reid Pressure
		t    float64
	}{{10, 20}, {6e4, 200}, {6e4, math.NaN()}} {
		if p, err := fuel.VapourPressure(c.reid, Celsius(c.t)); !errors.Is(err, ErrOutOfRange) || !math.IsNaN(float64(p)) {
			t.Errorf("%v: %v, %v", c, p, err)
		}
	}
}

// Winter petrol boils before summer petrol, and high up before low down; fuel
// that is hotter than the start by more than a little is said to boil.
func TestHot(t *testing.T) {
	summer, err := fuel.AssessHot(Celsius(55), 95e3, fuel.Summer())
	if err != nil {
		t.Fatal(err)
	}
	winter, err := fuel.AssessHot(Celsius(55), 95e3, fuel.Winter())
	if err != nil {
		t.Fatal(err)
	}
	pass, err := fuel.AssessHot(Celsius(55), 80e3, fuel.Summer())
	if err != nil {
		t.Fatal(err)
	}
	if !(winter.Starts.Value < summer.Starts.Value && pass.Starts.Value < summer.Starts.Value && winter.Risk >= summer.Risk) {
		t.Errorf("summer %v, winter %v, pass %v", summer, winter, pass)
	}
	for _, c := range []struct {
		celsius float64
		want    fuel.Risk
	}{{30, fuel.StaysLiquid}, {52, fuel.MayBoil}, {85, fuel.Boils}} {
		h, err := fuel.AssessHot(Celsius(c.celsius), 95e3, fuel.Summer())
		if err != nil || h.Risk != c.want || !strings.Contains(h.Cautions[0], "burns") {
			t.Errorf("%g °C: %v, %v", c.celsius, h, err)
		}
	}
	if _, err := fuel.AssessHot(Celsius(350), 95e3, fuel.Summer()); !errors.Is(err, ErrOutOfRange) {
		t.Errorf("350 °C: %v", err)
	}
}

// Published ratios: petrol 14.6 to 14.7, E10 14.08 to 14.13, E85 9.8, ethanol
// 9.0 (a wiki on tuning; a forum on oils), and from 10 % ethanol "a lean
// out of approximately 4 %" on a fixed orifice (a forum on tractors).
func TestEthanol(t *testing.T) {
	for _, c := range []struct{ ethanol, want, half float64 }{{0, 14.65, 0.06}, {0.10, 14.08, 0.08}, {0.85, 9.8, 0.06}, {1, 9.0, 0.01}} {
		within(t, "stoichiometric", fuel.Blend{Ethanol: c.ethanol}.StoichiometricRatio(), c.want, c.half)
	}
	within(t, "leaner by E10", fuel.Blend{Ethanol: 0.10}.LeanerThan(fuel.Blend{}), 1.04, 0.005)
	if err := (fuel.Blend{Ethanol: 10}).Check(); !errors.Is(err, ErrOutOfRange) || !math.IsNaN(fuel.Blend{Ethanol: 10}.StoichiometricRatio()) {
		t.Errorf("1000 %%: %v", err)
	}
}

// A physics course has 0.96e-3 (College Physics, ch. 10, problem 49), an
// engineer's answer 0.95e-3, a chemistry page about 1.0e-3
// (scienceaq.com).
func TestExpansion(t *testing.T) {
	for _, beta := range []float64{0.95e-3, 0.96e-3, 1.0e-3} {
		if beta < fuel.Expansion || beta > fuel.ExpansionHigh {
			t.Errorf("%g is outside %g to %g", beta, fuel.Expansion, fuel.ExpansionHigh)
		}
	}
}

// A share, a range as a pump's label leaves it, and what is neither.
func TestParseBlend(t *testing.T) {
	for text, want := range map[string]fuel.Blend{
		"10 %": {Ethanol: 0.10}, "0 %": {}, "5 to 10 %": {Ethanol: 0.075, Unsure: 0.025}, "0 % to 5 %": {Ethanol: 0.025, Unsure: 0.025}, "100 %": {Ethanol: 1},
	} {
		got, err := fuel.ParseBlend(text)
		if err != nil || math.Abs(got.Ethanol-want.Ethanol) > 1e-12 || math.Abs(got.Unsure-want.Unsure) > 1e-12 {
			t.Errorf("%q: %+v, %v", text, got, err)
		}
		if again, err := fuel.ParseBlend(got.String()); err != nil || math.Abs(again.Ethanol-got.Ethanol) > 1e-12 {
			t.Errorf("%q is written as %v: %v, %v", text, got, again, err)
		}
	}
	for _, text := range []string{"101 %", "-5 %", "-5 to 10 %", "10 to 5 %", "5 to 200 %"} {
		if f, err := fuel.ParseBlend(text); !errors.Is(err, ErrOutOfRange) {
			t.Errorf("%q: %v, %v", text, f, err)
		}
	}
	for _, text := range []string{"", "E10", "10", "0.1", "to", "5 to", "to 10 %", "NaN %", "Inf %", "10 °C", "5 to 10 to 20 %"} {
		if f, err := fuel.ParseBlend(text); err == nil || !strings.Contains(err.Error(), "%") {
			t.Errorf("%q: %v, %v", text, f, err)
		}
	}
}
