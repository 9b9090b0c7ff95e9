package engine_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

const psi = Pressure(6894.757)

// Two computers of others, for petrol of 10 psi Reid: a chemist's flash of a mixture of
// hydrocarbons, 5.2 psia at 20 °C and 33 psia at 80 °C (eng-tips.com, thread 218716), and a rule of
// thumb for tanks (within a quarter), Reid·exp(0.0266·(t/°F − 100)) (petroleum.ezvirtualtools.com). Neither knows the other.
func TestFuelVapourPressure(t *testing.T) {
	for _, c := range []struct{ celsius, psia, tolerance float64 }{{20, 5.2, 0.2}, {80, 33, 0.05}, {37.8, 10, 0.08}} {
		p, err := engine.FuelVapourPressure(10*psi, Celsius(c.celsius))
		if err != nil {
			t.Fatal(err)
		}
		within(t, "flash", float64(p/psi)/c.psia, 1, c.tolerance)
	}
	for f := 85.0; f <= 130; f += 5 {
		p, err := engine.FuelVapourPressure(10*psi, Fahrenheit(f))
		if err != nil {
			t.Fatal(err)
		}
		within(t, "rule of thumb", float64(p)/(10*float64(psi)*math.Exp(0.0266*(f-100))), 1, 0.25)
	}
	for _, c := range []struct {
		reid Pressure
		t    float64
	}{{10, 20}, {6e4, 200}, {6e4, math.NaN()}} {
		if p, err := engine.FuelVapourPressure(c.reid, Celsius(c.t)); !errors.Is(err, engine.ErrOutOfRange) || !math.IsNaN(float64(p)) {
			t.Errorf("%v: %v, %v", c, p, err)
		}
	}
}

// Winter petrol boils before summer petrol, and high up before low down; fuel that is hotter than the
// start by more than a little is said to boil.
func TestHotFuel(t *testing.T) {
	summer, err := engine.AssessHotFuel(Celsius(55), 95e3, engine.SummerPetrol())
	if err != nil {
		t.Fatal(err)
	}
	winter, err := engine.AssessHotFuel(Celsius(55), 95e3, engine.WinterPetrol())
	if err != nil {
		t.Fatal(err)
	}
	pass, err := engine.AssessHotFuel(Celsius(55), 80e3, engine.SummerPetrol())
	if err != nil {
		t.Fatal(err)
	}
	if !(winter.Starts.Value < summer.Starts.Value && pass.Starts.Value < summer.Starts.Value && winter.Risk >= summer.Risk) {
		t.Errorf("summer %v, winter %v, pass %v", summer, winter, pass)
	}
	for _, c := range []struct {
		celsius float64
		want    engine.HotFuelRisk
	}{{30, engine.FuelStaysLiquid}, {52, engine.FuelMayBoil}, {85, engine.FuelBoils}} {
		h, err := engine.AssessHotFuel(Celsius(c.celsius), 95e3, engine.SummerPetrol())
		if err != nil || h.Risk != c.want || !strings.Contains(h.Cautions[0], "burns") {
			t.Errorf("%g °C: %v, %v", c.celsius, h, err)
		}
	}
	if _, err := engine.AssessHotFuel(Celsius(350), 95e3, engine.SummerPetrol()); !errors.Is(err, engine.ErrOutOfRange) {
		t.Errorf("350 °C: %v", err)
	}
}

// Cool damp weather is what warm air is for; on a hot day it does nothing.
func TestWhatWarmAirIsFor(t *testing.T) {
	damp, err := air.NewState(100e3, Celsius(6), 0.92)
	if err != nil {
		t.Fatal(err)
	}
	l, err := engine.UsualWarmAir().Lost(damp, KelvinDifference(4), engine.ConstantDepression)
	if err != nil {
		t.Fatal(err)
	}
	if l.Icing.Changed.Risk != engine.IcingLikely || l.Icing.Present.Risk != engine.IcingUnlikely || l.Mixture.Ratio < 1.04 {
		t.Errorf("%v", l)
	}
	hot, err := air.NewState(100e3, Celsius(38), 0.2)
	if err != nil {
		t.Fatal(err)
	}
	if l, err = engine.UsualWarmAir().Lost(hot, KelvinDifference(4), engine.ConstantDepression); err != nil || l.Mixture.Ratio != 1 || !strings.Contains(l.String(), "nothing") {
		t.Errorf("hot day: %v, %v", l, err)
	}
	if _, err := engine.UsualWarmAir().Lost(air.State{}, 0, engine.FixedJet); !errors.Is(err, air.ErrOutOfRange) {
		t.Errorf("no air: %v", err)
	}
}

// Published ratios: petrol 14.6 to 14.7, E10 14.08 to 14.13, E85 9.8, ethanol 9.0 (ecmtuning.com wiki; bobistheoilguy.com),
// and from 10 % ethanol "a lean out of approximately 4 %" on a fixed orifice (yesterdaystractors.com).
func TestEthanol(t *testing.T) {
	for _, c := range []struct{ ethanol, want, half float64 }{{0, 14.65, 0.06}, {0.10, 14.08, 0.08}, {0.85, 9.8, 0.06}, {1, 9.0, 0.01}} {
		within(t, "stoichiometric", engine.Fuel{Ethanol: c.ethanol}.StoichiometricRatio(), c.want, c.half)
	}
	s := dryAir(t, 101325, 20)
	m, err := engine.Metering{Kind: engine.FixedJet, FuelAfter: engine.Fuel{Ethanol: 0.10}}.Shift(s, s)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "leaner by E10", m.Ratio, 1.04, 0.005)
	if _, err := (engine.Metering{FuelAfter: engine.Fuel{Ethanol: 10}}).Shift(s, s); !errors.Is(err, engine.ErrOutOfRange) {
		t.Errorf("1000 %%: %v", err)
	}
}

// A bowl of known temperatures takes the place of the span: 20 K colder fuel is 2 % denser and
// flows by the root of it, by hand 1/√(1 + 20·0.95e-3…1.1e-3) = 0.9906 to 0.9892.
func TestFloatBowlAndAirCorrectionJet(t *testing.T) {
	s := dryAir(t, 101325, 20)
	m, err := engine.Metering{Kind: engine.ConstantDepression, BowlBefore: Celsius(50), BowlAfter: Celsius(30)}.Shift(s, s)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "low", m.Low, 0.9892, 1e-4)
	within(t, "high", m.High, 0.9906, 1e-4)
	// An air-correction jet takes up to a quarter off: the exponent is ½ − ⅛.
	hot, cold := dryAir(t, 101325, 60), dryAir(t, 101325, 30)
	g := engine.Metering{Kind: engine.FixedJet, BowlBefore: Celsius(30), BowlAfter: Celsius(30)}
	if m, err = g.Shift(hot, cold); err != nil {
		t.Fatal(err)
	}
	within(t, "with correction", m.Low, math.Pow(333.15/303.15, 0.375), 1e-4)
	within(t, "without", m.High, math.Sqrt(333.15/303.15), 1e-4)
	if _, err := (engine.Metering{BowlAfter: Celsius(350)}).Shift(s, s); !errors.Is(err, engine.ErrOutOfRange) {
		t.Errorf("bowl of 350 °C: %v", err)
	}
}
