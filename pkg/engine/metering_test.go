package engine_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/fuel"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

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
	in := Preferred{Temperature: KindTemperature.Unit("°F"), Difference: KindTemperatureDifference.Unit("°F")}
	if text := l.In(in).String() + l.Mixture.In(in); strings.Contains(text, "°C") || strings.Contains(text, " K ") || !strings.Contains(text, "°F") {
		t.Errorf("in °F: %s", text)
	}
	if l, err = engine.UsualWarmAir().Lost(hot, KelvinDifference(4), engine.ConstantDepression); err != nil || l.Mixture.Ratio != 1 || !strings.Contains(l.String(), "nothing") {
		t.Errorf("hot day: %v, %v", l, err)
	}
	if _, err := engine.UsualWarmAir().Lost(air.State{}, 0, engine.FixedJet); !errors.Is(err, air.ErrOutOfRange) {
		t.Errorf("no air: %v", err)
	}
}

// Ethanol leans, and a share that can't be is refused.
func TestEthanolInTheMixture(t *testing.T) {
	s := dryAir(t, 101325, 20)
	m, err := engine.Metering{Kind: engine.FixedJet, FuelAfter: fuel.Blend{Ethanol: 0.10}}.Shift(s, s)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "leaner by E10", m.Ratio, 1.04, 0.005)
	if _, err := (engine.Metering{FuelAfter: fuel.Blend{Ethanol: 10}}).Shift(s, s); !errors.Is(err, engine.ErrOutOfRange) {
		t.Errorf("1000 %%: %v", err)
	}
}

// A bowl of known temperatures takes the place of the span: 20 K colder fuel is
// 2 % denser and flows by the root of it, by hand 1/√(1 + 20·0.95e-3…1.1e-3) =
// 0.9906 to 0.9892.
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
