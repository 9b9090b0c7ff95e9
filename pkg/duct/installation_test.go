package duct

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Worked outside this package for a 76 mm, 1 m duct, bay 70 °C, air 30 °C,
// outer coefficient about 15: 0.06 m³/s +1.5 K, 0.02 +3.2 K, 0.005 (idle)
// +6.3 K, bare thin wall.
func TestPickUpWorkedExample(t *testing.T) {
	p := CorrugatedHose(76*quantity.Millimetre, 1)
	p.Friction, p.FrictionLow, p.FrictionHigh, p.Wall = 0.03, 0, 0, 0
	d := Duct{Parts: []Part{p}}
	for _, c := range []struct{ flow, want, tolerance float64 }{{0.06, 1.5, 0.15}, {0.02, 3.2, 0.15}, {0.005, 6.3, 0.25}} {
		r, err := d.PickUp(outside(t, 30), quantity.VolumeFlow(c.flow), Surroundings{Temperature: quantity.Celsius(70)})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "rise", r.Rise.Value, c.want, c.tolerance)
		if !(r.Rise.Interval.Low < r.Rise.Value && r.Rise.Value < r.Rise.Interval.High) {
			t.Errorf("range %v to %v", r.Rise.Interval.Low, r.Rise.Interval.High)
		}
	}
}

// Incropera and DeWitt, equation (8.45b), at its limits: no transfer leaves
// the inlet, endless transfer gives the surroundings, NTU = ln 2 half of it.
func TestPickUpLimits(t *testing.T) {
	near(t, "ln 2", pickUp(300, 340, math.Ln2), 320, 1e-12)
	near(t, "none", pickUp(300, 340, 0), 300, 1e-12)
	near(t, "endless", pickUp(300, 340, 50), 340, 1e-12)
}

func demo(t *testing.T) Installation {
	t.Helper()
	e := engine.Description{Displacement: 1598 * quantity.CubicCentimetre, Cylinders: 4, RatedPower: 60e3, RatedPowerSpeed: 5500 * quantity.RevolutionPerMinute,
		RatedTorque: 122, RatedTorqueSpeed: 3200 * quantity.RevolutionPerMinute, Redline: 6200 * quantity.RevolutionPerMinute, Carburettor: engine.ConstantDepression}
	if err := e.Check(); err != nil {
		t.Fatal(err)
	}
	const d = 76 * quantity.Millimetre
	filter := Filter(60*quantity.LitrePerSecond, 300)
	return Installation{
		Engine: e, Outside: outside(t, 30), PresentIntake: quantity.Celsius(60), Bay: Surroundings{Temperature: quantity.Celsius(70)},
		Duct:    Duct{Parts: []Part{Entry(d, 0.1), CorrugatedHose(d, 1), Bend(d, 90*quantity.Degree, 1.5), filter}},
		Present: Duct{Parts: []Part{filter}},
		RamHigh: 0.5,
	}
}

// Against a hand calculation from the same published formulas: about 28.5 K
// gained and 0.2 kPa lost at 0.055 m³/s is ISO (331.5/303.15+…)^0.6·(1 −
// 0.002)^1.2 − 1, near +5.1 %.
func TestInstallationFullThrottle(t *testing.T) {
	x := demo(t)
	p, err := x.At(5500*quantity.RevolutionPerMinute, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "demand", float64(p.Demand), 1598e-6*5500/120*0.75, 1e-9)
	hand := math.Pow(333.15/(303.15+p.PickUp.Rise.Value), 0.6)*math.Pow(1-p.Lost.Value/101025, 1.2) - 1
	near(t, "power between the standards", p.Power.Value, hand, 0.05)
	if !(p.Power.Interval.Low < p.Power.Value && p.Power.Value < p.Power.Interval.High && p.Power.Interval.Low > 0.028 && p.Power.Interval.High < 0.06) {
		t.Errorf("span: %v", p)
	}
	if p.Ram.Interval.High != 0 || p.RamPart != 0 || !p.Extrapolated {
		t.Errorf("standing still: %v", p)
	}
	fast, err := x.At(5500*quantity.RevolutionPerMinute, 120*quantity.KilometrePerHour)
	if err != nil {
		t.Fatal(err)
	}
	// half of ½ρv² at 33.3 m/s and 30 °C: 323 Pa, of 99 kPa, times 1.2
	near(t, "ram", fast.Ram.Interval.High, 0.5*0.5*1.164*33.333*33.333, 0.01)
	near(t, "its part", fast.RamPart, 1.2*fast.Ram.Interval.High/101e3, 0.1)
	near(t, "temperature is not credited with it", fast.Power.Value, p.Power.Value, 1e-12)
}

// A mouth 5 K warmer than was thought lies within the interval; so does one
// part of the present intake that costs more than thought.
func TestMouthAndPresentIntakeAreInTheBand(t *testing.T) {
	const n = 5500 * quantity.RevolutionPerMinute
	x := demo(t)
	cold, err := x.At(n, 0)
	if err != nil {
		t.Fatal(err)
	}
	x.MouthRise = 5
	warm, err := x.At(n, 0)
	if err != nil {
		t.Fatal(err)
	}
	if warm.Power.Value > cold.Power.Value-0.005 || !cold.Power.Interval.Contains(warm.Power.Value) || !cold.Gained.Interval.Contains(warm.Gained.Value) {
		t.Errorf("mouth 5 K warmer: %v against %v", warm.Power, cold.Power)
	}
	if !estimate.Has(cold.Power.Warnings, estimate.OutsideRange) || strings.Contains(cold.Power.Warnings[0].Text, "308.15 K is outside") {
		t.Errorf("warnings %v", cold.Power.Warnings)
	}
	snorkel := func(k float64) Part {
		p := Fitting("snorkel", 40*quantity.Millimetre, k)
		p.LossLow, p.LossHigh = 1, 3
		return p
	}
	x = demo(t)
	x.Present.Parts = append(x.Present.Parts, snorkel(2))
	band, err := x.At(n, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []float64{1, 3} {
		y := demo(t)
		y.Present.Parts = append(y.Present.Parts, snorkel(k))
		p, err := y.At(n, 0)
		if err != nil {
			t.Fatal(err)
		}
		if !band.Power.Interval.Contains(p.Power.Value) || !band.Lost.Interval.Contains(p.Lost.Value) || p.Power.Value == band.Power.Value {
			t.Errorf("snorkel of K %g: %v outside %v", k, p, band)
		}
	}
	for _, bad := range [][3]quantity.TemperatureDifference{{3, 4, 8}, {3, 1, 2}, {3, -1, 4}, {3, 1, 90}} {
		y := demo(t)
		y.MouthRise, y.MouthRiseLow, y.MouthRiseHigh = bad[0], bad[1], bad[2]
		if _, err := y.At(n, 0); !errors.Is(err, ErrOutOfRange) {
			t.Errorf("mouth %v: %v", bad, err)
		}
	}
}

// Each part of the uncertainty lies in the whole, they are in order, and a
// thing that is known is none.
func TestPartsOfThePower(t *testing.T) {
	x := demo(t)
	p, err := x.At(5500*quantity.RevolutionPerMinute, 30)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for i, part := range p.Parts {
		seen[part.What] = true
		low, high := p.Power.Value+float64(part.Low), p.Power.Value+float64(part.High)
		if low < p.Power.Interval.Low-1e-9 || high > p.Power.Interval.High+1e-9 || part.Low > 0 || part.High < 0 {
			t.Errorf("%v is not in %v", part, p.Power)
		}
		if i > 0 && part.High-part.Low > p.Parts[i-1].High-p.Parts[i-1].Low {
			t.Errorf("not in order: %v", p.Parts)
		}
	}
	for _, what := range []string{"the standards differ", "air at the mouth", "heat on the way", "friction and fittings", "pulses of the cylinders", "ram pressure", "volumetric efficiency"} {
		if !seen[what] {
			t.Errorf("%q is missing in %v", what, p.Parts)
		}
	}
	x.Efficiency = engine.VolumetricEfficiency{Speed: []quantity.RotationalSpeed{90}, Value: []float64{0.75}}
	x.RamHigh, x.MouthRise, x.MouthRiseLow, x.MouthRiseHigh = 0, 3, 3, 3
	if p, err = x.At(5500*quantity.RevolutionPerMinute, 30); err != nil {
		t.Fatal(err)
	}
	for _, part := range p.Parts {
		if part.What == "volumetric efficiency" || part.What == "ram pressure" || part.What == "air at the mouth" {
			t.Errorf("known, and still a part: %v", part)
		}
	}
}

func TestIdleIsApart(t *testing.T) {
	x := demo(t)
	standing, err := x.Idle(800*quantity.RevolutionPerMinute, 0)
	if err != nil {
		t.Fatal(err)
	}
	x.IdleMouthRise = 1e-9 // a mouth as cool as on the road, to compare the way alone
	idle, err := x.Idle(800*quantity.RevolutionPerMinute, 0)
	if err != nil {
		t.Fatal(err)
	}
	full, err := x.At(5500*quantity.RevolutionPerMinute, 0)
	if err != nil {
		t.Fatal(err)
	}
	if !standing.Gained.Interval.Contains(idle.Gained.Value) || !idle.Gained.Interval.Contains(standing.Gained.Value) || !standing.PickUp.Rise.Interval.Contains(standing.PickUp.Rise.Value) {
		t.Errorf("a mouth between that of the road and a standing car's is not in the band: %v, %v", standing.Gained, idle.Gained)
	}
	if idle.PickUp.Rise.Value < 2.5*full.PickUp.Rise.Value {
		t.Errorf("idle picks up %v, full throttle %v", idle.PickUp.Rise.Value, full.PickUp.Rise.Value)
	}
	if standing.Intake.Sub(idle.Intake) < 2 {
		t.Errorf("a standing car's mouth makes %v of %v", standing.Intake, idle.Intake)
	}
	if !strings.Contains(idle.String(), "no power") || idle.Mixture.Ratio <= 1 {
		t.Errorf("%v, mixture %v", idle, idle.Mixture)
	}
}

func TestBreakEven(t *testing.T) {
	x := demo(t)
	const n = 5500 * quantity.RevolutionPerMinute
	d, err := x.BreakEvenDiameter(n)
	if err != nil {
		t.Fatal(err)
	}
	if !(d > 25*quantity.Millimetre && d < 50*quantity.Millimetre) {
		t.Errorf("diameter %v mm", d.Millimetres())
	}
	y := x
	y.Duct = x.Duct.scaled(float64(d / (76 * quantity.Millimetre)))
	p, err := y.At(n, 0)
	if err != nil || math.Abs(p.Power.Value) > 1e-6 {
		t.Errorf("at break-even power changes by %v (%v)", p.Power.Value, err)
	}
	bounds, err := x.BreakEvenDiameterBounds(n)
	if err != nil || bounds.Value != float64(d) || !(bounds.Interval.Low < 0.95*bounds.Value && bounds.Interval.High > 1.05*bounds.Value) {
		t.Errorf("bounds %v (%v)", bounds, err)
	}
	worst := x
	worst.Duct = x.Duct.scaled(bounds.Interval.High / 0.076)
	if p, err := worst.At(n, 0); err != nil || math.Abs(p.Power.Interval.Low) > 1e-6 {
		t.Errorf("at the upper bound the least favourable figures give %v (%v)", p.Power, err)
	}
	x.Duct = x.Duct.scaled(45.0 / 76)
	long, err := x.BreakEvenLengthBounds(n)
	if err != nil || !(long.Interval.Low < long.Value && long.Value < long.Interval.High) {
		t.Errorf("length %v (%v)", long, err)
	}
	l, err := x.BreakEvenLength(n)
	if err != nil {
		t.Fatal(err)
	}
	if !(l > 1 && l < 10) {
		t.Errorf("length %v", l)
	}
	x.PresentIntake = quantity.Celsius(31)
	if d, err := x.BreakEvenDiameter(n); !errors.Is(err, ErrNoBreakEven) || !math.IsNaN(float64(d)) {
		t.Errorf("nothing to gain: %v, %v", d, err)
	}
}

func TestChangesWorthMaking(t *testing.T) {
	x := demo(t)
	x.Duct.Parts[1] = Compressed(CorrugatedHose(50*quantity.Millimetre, 1))
	changes, err := x.ChangesWorthMaking(5500 * quantity.RevolutionPerMinute)
	if err != nil {
		t.Fatal(err)
	}
	if len(changes) < 4 || !strings.Contains(changes[0].What, "compressed corrugated hose") {
		t.Errorf("first: %v", changes)
	}
	for i := 1; i < len(changes); i++ {
		if changes[i].Gain > changes[i-1].Gain {
			t.Errorf("not in order: %v", changes)
		}
	}
}

func TestInstallationRefuses(t *testing.T) {
	x := demo(t)
	if _, err := x.At(5500, 0); !errors.Is(err, engine.ErrOutOfRange) {
		t.Errorf("5500 revolutions per second: %v", err)
	}
	x.RamHigh = 2
	if _, err := x.At(5500*quantity.RevolutionPerMinute, 0); !errors.Is(err, ErrOutOfRange) {
		t.Errorf("recovery 2: %v", err)
	}
	x = demo(t)
	x.Engine = engine.Description{Displacement: quantity.Litre}
	if _, err := x.Table([]quantity.RotationalSpeed{50}, []quantity.Speed{0}); !errors.Is(err, engine.ErrMissing) {
		t.Errorf("no cylinders: %v", err)
	}
}

// What is said of idle, and of a rise that can't be, is in the units of the
// installation.
func TestInTheOwnersUnits(t *testing.T) {
	x := demo(t)
	x.Units = quantity.Preferred{Temperature: quantity.KindTemperature.Unit("°F"), Difference: quantity.KindTemperatureDifference.Unit("°F")}
	i, err := x.Idle(800*quantity.RevolutionPerMinute, 0)
	if err != nil {
		t.Fatal(err)
	}
	if s := i.String(); strings.Contains(s, " K ") || strings.Contains(s, "°C") || strings.Count(s, "°F") != 3 {
		t.Errorf("%s", s)
	}
	x.MouthRise = 70 // of at most 60 K
	if _, err := x.Idle(800*quantity.RevolutionPerMinute, 0); err == nil || !strings.Contains(err.Error(), "126") || !strings.Contains(err.Error(), "108") {
		t.Errorf("%v", err)
	}
}
