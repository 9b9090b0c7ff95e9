package duct

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/internal/published"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %.8g, want %.8g within %g", what, got, want, relative)
	}
}

func outside(t *testing.T, celsius float64) air.State {
	t.Helper()
	s, err := air.NewState(101325, quantity.Celsius(celsius), 0)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The fluids library's documentation prints 0.01851386607747 for Re 1e5 and
// ε/D 1e-4; a grid from the library itself is in testdata.
func TestColebrook(t *testing.T) {
	f, err := Colebrook(1e5, 1e-4)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "documented", f, 0.01851386607747, 1e-12)
	for _, r := range published.Table(t, "testdata/colebrook.csv", 8) {
		f, err := Colebrook(r[0], r[1])
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprint(r[:2]), f, r[2], 1e-9)
	}
	for _, c := range [][2]float64{{1000, 0}, {1e9, 0}, {1e5, 0.1}, {math.NaN(), 0}, {1e5, -1}} {
		if f, err := Colebrook(c[0], c[1]); !errors.Is(err, ErrOutOfRange) || !math.IsNaN(f) {
			t.Errorf("%v: %v, %v", c, f, err)
		}
	}
	if f, _ := FrictionFactor(1000, 0); f != 0.064 { // Hagen and Poiseuille, 64/Re
		t.Errorf("laminar: %v", f)
	}
}

func TestFittingsAgainstFluids(t *testing.T) {
	for _, r := range published.Table(t, "testdata/fittings.csv", 8) {
		var p Part
		switch r[0] {
		case 1:
			p = Bend(50*quantity.Millimetre, quantity.Angle(r[1])*quantity.Degree, r[2])
		case 2:
			p = Bend(50*quantity.Millimetre, quantity.Angle(r[1])*quantity.Degree, 0)
		case 3:
			p = Entry(50*quantity.Millimetre, r[1])
		case 4:
			p = Contraction(50*quantity.Millimetre, quantity.Length(r[1])*50*quantity.Millimetre)
		case 5:
			p = Expansion(quantity.Length(r[1])*50*quantity.Millimetre, 50*quantity.Millimetre)
		}
		if math.Abs(p.Loss-r[3]) > 2e-5+1e-9*r[3] { // the library rounds a sharp entry to 0.57
			t.Errorf("%v: K %v, want %v", r[:3], p.Loss, r[3])
		}
	}
	// Documented in the fluids library: expansion D → 2D 0.5625, sudden
	// contraction D → 0.4 D 0.53, entry rounded by 0.235 D 0.098.
	near(t, "expansion", Expansion(50*quantity.Millimetre, 100*quantity.Millimetre).Loss, 0.5625, 1e-9)
	near(t, "contraction", Contraction(100*quantity.Millimetre, 40*quantity.Millimetre).Loss, 0.53, 0.005)
	near(t, "entry", Entry(100*quantity.Millimetre, 0.235).Loss, 0.098, 0.005)
}

func TestAirPropertiesAgainstFluids(t *testing.T) {
	for _, r := range published.Table(t, "testdata/air.csv", 8) {
		near(t, "viscosity", viscosity(r[0]), r[1], 1e-9)
		near(t, "conductivity", conductivity(r[0]), r[2], 1e-6)
	}
}

// Nusselt numbers printed in the documentation of the ht library: Dittus and
// Boelter at Re 1e5, Pr 1.2 heating 247.40036, cooling 242.93059; Gnielinski
// at Re 1e5, Pr 1.2, f 0.0185 254.62683.
func TestNusseltPrinted(t *testing.T) {
	heated, err := DittusBoelter(1e5, 1.2, true)
	if err != nil {
		t.Fatal(err)
	}
	cooled, _ := DittusBoelter(1e5, 1.2, false)
	g, err := Gnielinski(1e5, 1.2, 0.0185)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "heating", heated, 247.40036, 1e-7)
	near(t, "cooling", cooled, 242.93059, 1e-7)
	near(t, "Gnielinski", g, 254.62683, 1e-7)
	for _, err := range []error{
		func() error { _, err := DittusBoelter(5000, 0.7, true); return err }(),
		func() error { _, err := Gnielinski(2000, 0.7, 0.03); return err }(),
		func() error { _, err := Gnielinski(1e5, math.NaN(), 0.03); return err }(),
	} {
		if !errors.Is(err, ErrOutOfRange) {
			t.Errorf("want out of range, got %v", err)
		}
	}
}

// Worked outside this package: 76 mm, 1 m, 0.06 m³/s at 30 °C: 13.2 m/s, Re
// 6.3e4, dynamic pressure 102 Pa, smooth friction 26 Pa, corrugated (f = 0.08)
// 107 Pa, sharp entry 58 Pa. A 50 mm duct has 5.3 times the dynamic pressure.
func TestFlowWorkedExample(t *testing.T) {
	const d, l = 76 * quantity.Millimetre, 1 * quantity.Metre
	smooth := Hose(d, l)
	smooth.Roughness = 0
	f, err := Duct{Parts: []Part{smooth, CorrugatedHose(d, l), Entry(d, 0), Fitting("one dynamic pressure", d, 1), Fitting("at 50 mm", 50*quantity.Millimetre, 1)}}.Flow(outside(t, 30), 0.06)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "velocity", float64(f.Parts[0].Velocity), 13.2, 0.005)
	near(t, "Reynolds", f.Parts[0].Reynolds, 6.3e4, 0.01)
	for i, c := range []struct{ want, tolerance float64 }{{26, 0.03}, {107, 0.005}, {58, 0.01}, {102, 0.005}, {5.3 * 102, 0.01}} {
		near(t, f.Parts[i].Name, f.Parts[i].Loss.Value, c.want, c.tolerance)
	}
	if !(f.Loss.Interval.Low < f.Loss.Value && f.Loss.Value < f.Loss.Interval.High) {
		t.Errorf("range %v to %v around %v", f.Loss.Interval.Low, f.Loss.Interval.High, f.Loss.Value)
	}
}

func TestFilterAndBadParts(t *testing.T) {
	f, err := Duct{Parts: []Part{Filter(60*quantity.LitrePerSecond, 400)}}.Flow(outside(t, 20), 30*quantity.LitrePerSecond)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "half flow, exponent 1.5", f.Loss.Value, 400/math.Pow(2, 1.5), 1e-12)
	for _, c := range []struct {
		p    Part
		want string
	}{
		{Hose(76, 1), "did you mean 76 mm?"},
		{Hose(76*quantity.Millimetre, 100), "length 100 m"},
		{Bend(76*quantity.Millimetre, 90, 1.5), "out of range"}, // 90 radian
		{Entry(76*quantity.Millimetre, -1), "loss coefficient"},
		{Filter(60, 400), "LitrePerSecond"},
		{Contraction(50*quantity.Millimetre, 60*quantity.Millimetre), "loss coefficient"},
	} {
		f, err := Duct{Parts: []Part{c.p}}.Flow(outside(t, 20), 0.03)
		if !errors.Is(err, ErrOutOfRange) || !strings.Contains(err.Error(), c.want) || !math.IsNaN(f.Loss.Value) {
			t.Errorf("%s: %v, %v; want %q", c.p.Name, f.Loss, err, c.want)
		}
	}
	if _, err := (Duct{Parts: []Part{Hose(20*quantity.Millimetre, 1)}}).Flow(outside(t, 20), 0.06); !errors.Is(err, ErrOutOfRange) {
		t.Errorf("191 m/s: %v", err)
	}
}

// ½ρv² at 100 km/h is 0.45 kPa (common figure, worked outside this package at
// 30 °C).
func TestRamPressure(t *testing.T) {
	p, err := RamPressure(outside(t, 30), 100*quantity.KilometrePerHour, 1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ram", p.Kilopascals(), 0.45, 0.006)
	if p, err := RamPressure(outside(t, 30), 100, 1); !errors.Is(err, ErrOutOfRange) || !math.IsNaN(float64(p)) {
		t.Errorf("100 m/s: %v, %v", p, err)
	}
}

// A rectified sine has mean 2/π and mean square 1/2 (any handbook of
// electrical engineering: form factor 1.1107, its square 1.2337; crest π/2
// over the mean). One cylinder in four strokes has a quarter of that duty.
func TestPulsationFactor(t *testing.T) {
	loss, peak, err := PulsationFactor(4, 180)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "four cylinders", loss, 1.1107*1.1107, 1e-4)
	near(t, "peak", peak, math.Pi/2, 1e-4)
	one, _, _ := PulsationFactor(1, 180)
	near(t, "one cylinder", one, 4*1.1107*1.1107, 1e-4)
	many, _, _ := PulsationFactor(12, 240)
	if !(many < 1.01 && many >= 1) {
		t.Errorf("twelve cylinders: %v", many)
	}
}
