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

// Worked outside this package: 60 → 30 °C is √1.0990 = 1.0483, so AFR 13.0
// becomes 13.63 and λ 0.88 becomes 0.923; from 55 °C 1.0404, from 62 °C 1.0515.
func TestShiftOfMixture(t *testing.T) {
	for _, c := range []struct{ from, want float64 }{{60, 1.0483}, {55, 1.0404}, {62, 1.0515}} {
		for _, kind := range []engine.Carburettor{engine.FixedJet, engine.ConstantDepression} {
			m, err := engine.ShiftOfMixture(kind, dryAir(t, 101325, c.from), dryAir(t, 101325, 30))
			if err != nil {
				t.Fatal(err)
			}
			within(t, fmt.Sprint(c.from, kind), m.Ratio, c.want, 5e-5)
			if !(m.Low < m.Ratio && m.Ratio == m.High) || !strings.Contains(m.Meaning, "leaner") || len(m.Check) < 4 {
				t.Errorf("%v: %+v", c.from, m)
			}
			within(t, "kelvin per percent", m.KelvinPerPercent.Kelvins(), 6, 0.8)
		}
	}
	m, err := engine.ShiftOfMixture(engine.FixedJet, dryAir(t, 101325, 30), dryAir(t, 101325, 60))
	if err != nil || !strings.Contains(m.Meaning, "richer") {
		t.Errorf("warmer: %v, %v", m, err)
	}
	if m, err := engine.ShiftOfMixture(engine.FixedJet, air.State{}, dryAir(t, 101325, 60)); !errors.Is(err, air.ErrOutOfRange) || !math.IsNaN(m.Ratio) {
		t.Errorf("no air: %v, %v", m.Ratio, err)
	}
}

// Vapour displaces air and carries no oxygen. Worked by hand from the vapour
// pressures of IAPWS-IF97 (42.467 hPa at 30 °C, 6.1121 hPa at 0 °C): 30 °C and
// 60 % hold 1.1351 kg of dry air in 1.1533 kg of a cubic metre, 0 °C and 80 %
// 1.2861 in 1.2899, so a unit of fuel gets 1.0713 times the dry air, where the
// square root of density says 1.0576. Heating alone changes nothing of that.
func TestMixtureCountsDryAir(t *testing.T) {
	summer, err := air.NewState(101325, Celsius(30), 0.6)
	if err != nil {
		t.Fatal(err)
	}
	winter, err := air.NewState(101325, Celsius(0), 0.8)
	if err != nil {
		t.Fatal(err)
	}
	m, err := engine.ShiftOfMixture(engine.FixedJet, summer, winter)
	if err != nil {
		t.Fatal(err)
	}
	dry := func(p, e, k float64) float64 { return (p - e) / (287.05 * k) }
	moist := func(p, e, k float64) float64 { return dry(p, e, k) + e/(461.5*k) }
	const wet, damp = 0.6 * 4246.7, 0.8 * 611.21
	hand := dry(101325, damp, 273.15) / dry(101325, wet, 303.15) / math.Sqrt(moist(101325, damp, 273.15)/moist(101325, wet, 303.15))
	within(t, "by hand", hand, 1.0713, 5e-5)
	within(t, "30 °C, 60 % to 0 °C, 80 %", m.Ratio, 1.0713, 1e-4)
	if !m.Change.Interval.Contains(m.Ratio-1) || !(m.Low < m.Ratio) {
		t.Errorf("change %v", m.Change)
	}
	hot, err := winter.Heated(Celsius(40))
	if err != nil {
		t.Fatal(err)
	}
	back, err := engine.ShiftOfMixture(engine.FixedJet, winter, hot)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "heated", back.Ratio, math.Sqrt(273.15/313.15), 1e-6)
}

// Douaud and Eyzat's formula, constants from memory, worked outside this
// package: 95 octane, 40 atm, 800 K → 3.244 ms; 100, 30 atm, 850 K → 4.764 ms.
func TestAutoignitionDelay(t *testing.T) {
	for _, c := range []struct{ octane, atm, kelvin, ms float64 }{{95, 40, 800, 3.244}, {100, 30, 850, 4.764}} {
		d, err := engine.AutoignitionDelay(c.octane, Pressure(c.atm)*StandardAtmosphere, Kelvin(c.kelvin))
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint(c), 1e3*d, c.ms, 0.0005)
	}
	if d, err := engine.AutoignitionDelay(95, 40, Kelvin(800)); !errors.Is(err, engine.ErrOutOfRange) || !math.IsNaN(d) {
		t.Errorf("40 Pa: %v, %v", d, err)
	}
	// Constant state: the integral is time over delay.
	p := []Pressure{40 * StandardAtmosphere, 40 * StandardAtmosphere}
	k := []Temperature{Kelvin(800), Kelvin(800)}
	i, err := engine.LivengoodWu(95, []float64{0, 3.244e-3}, p, k)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "integral", i, 1, 2e-4)
}

// +30 K at inlet closing (30 → 60 °C) at a pressure ratio of 40: 90 octane
// becomes 103.7 (n = 1.30), 103.1 (1.32), 102.2 (1.35), worked outside this
// package; 1 octane number per 7 K is 4.3 (Russ, SAE 960497, abstract).
func TestShiftOfKnock(t *testing.T) {
	for _, c := range []struct{ n, want float64 }{{1.30, 103.7}, {1.32, 103.1}, {1.35, 102.2}} {
		m := engine.DefaultKnockModel()
		m.Index = c.n
		k, err := engine.ShiftOfKnock(Celsius(30), Celsius(60), m)
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint(c.n), 90+k.Bound, c.want, 0.051)
		within(t, "measured", k.Octane.Value, 30.0/7, 1e-9)
		if !(k.Octane.Interval.Low == 0 && math.Abs(k.Octane.Interval.High-5.4) < 1e-9 && k.Bound > 2*k.Octane.Value) {
			t.Errorf("range %v to %v, bound %v", k.Octane.Interval.Low, k.Octane.Interval.High, k.Bound)
		}
	}
	if k, err := engine.ShiftOfKnock(Celsius(30), Celsius(60), engine.KnockModel{}); !errors.Is(err, engine.ErrOutOfRange) || !math.IsNaN(k.Octane.Value) {
		t.Errorf("empty model: %v, %v", k, err)
	}
}

// No text of any result advises to advance timing, and each knock result
// warns of it.
func TestNeverAdvisesTiming(t *testing.T) {
	for _, to := range []float64{-10, 20, 60} {
		k, err := engine.ShiftOfKnock(Celsius(40), Celsius(to), engine.DefaultKnockModel())
		if err != nil {
			t.Fatal(err)
		}
		text := strings.ToLower(fmt.Sprint(k, k.Cautions))
		if strings.Contains(text, "advance") || !strings.Contains(text, "no reason to change ignition timing") {
			t.Errorf("text:\n%v", text)
		}
	}
}
