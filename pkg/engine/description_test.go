package engine_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/engine"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// saloon is an invented engine.
func saloon() engine.Text {
	return engine.Text{
		Name: "demo", Displacement: "1598 cm3", Cylinders: 4, Bore: "79 mm", Stroke: "81.5 mm", CompressionRatio: 9,
		RatedPower: "60 kW", RatedPowerSpeed: "5500 rpm", RatedTorque: "122 N m", RatedTorqueSpeed: "3200 rpm",
		Redline: "6200 rpm", Carburettor: "constant-depression", Carburettors: 1, Thermostat: "82 degC",
	}
}

func described(t *testing.T) engine.Description {
	t.Helper()
	d, err := saloon().Parse()
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestParseUnitsOfChoice(t *testing.T) {
	x := saloon()
	x.Displacement, x.RatedPower, x.Thermostat, x.RatedTorque = "97.52 cu in", "81.6 PS", "179.6 degF", "12.44 kgf m"
	a, err := x.Parse()
	if err != nil {
		t.Fatal(err)
	}
	b := described(t)
	within(t, "displacement", float64(a.Displacement/b.Displacement), 1, 5e-4)
	within(t, "power", float64(a.RatedPower/b.RatedPower), 1, 5e-4)
	within(t, "torque", float64(a.RatedTorque/b.RatedTorque), 1, 5e-4)
	within(t, "thermostat", a.Thermostat.Celsius(), 82, 1e-9)
}

func TestDescriptionProblems(t *testing.T) {
	for _, c := range []struct {
		change func(*engine.Text)
		want   string
	}{
		{func(x *engine.Text) { x.Displacement = "" }, "displacement: missing"},
		{func(x *engine.Text) { x.Displacement = "1.598 cm3" }, "displacement 1.598 cm³"},
		{func(x *engine.Text) { x.Bore = "79 cm" }, "bore 790 mm"},
		{func(x *engine.Text) { x.Cylinders = 6 }, "one of the four is wrong"},
		{func(x *engine.Text) { x.RatedPower = "80 bhp" }, "rated-power: "},
		{func(x *engine.Text) { x.RatedPower = "90 kW" }, "more than the rated"},
		{func(x *engine.Text) { x.RatedTorqueSpeed = "5600 rpm" }, "swapped"},
		{func(x *engine.Text) { x.Redline = "5000 rpm" }, "above the redline"},
		{func(x *engine.Text) { x.Carburettor = "two-barrel" }, "want \"fixed-jet\""},
		{func(x *engine.Text) { x.Thermostat = "82 K" }, "thermostat"},
		{func(x *engine.Text) { x.CompressionRatio = 90 }, "compression ratio 90"},
	} {
		x := saloon()
		c.change(&x)
		if _, err := x.Parse(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("want %q, got %v", c.want, err)
		}
	}
}

// V̇ = V_d·n/2·η: 4.2 L at 4500 rpm and 0.80 → 0.1260 m³/s; 2.0 L, 6000, 0.85 →
// 0.0850; 1.8 L, 3000, 0.80 → 0.0360 (worked outside this package).
func TestAirDemand(t *testing.T) {
	for _, c := range []struct{ litres, rpm, ve, want float64 }{
		{4.2, 4500, 0.80, 0.1260}, {2.0, 6000, 0.85, 0.0850}, {1.8, 3000, 0.80, 0.0360},
	} {
		d := engine.Description{Displacement: Volume(c.litres) * Litre}
		q, err := d.AirDemand(RotationalSpeed(c.rpm)*RevolutionPerMinute, c.ve)
		if err != nil {
			t.Fatal(err)
		}
		within(t, fmt.Sprint(c), float64(q), c.want, 1e-9)
	}
	d := described(t)
	for _, c := range []struct {
		n    RotationalSpeed
		ve   float64
		hint string
	}{
		{3000, 0.8, "did you mean 3000 rpm"}, {50, 80, "did you mean 80 %"}, {-1, 0.8, "engine speed"}, {50, math.NaN(), "volumetric"},
	} {
		q, err := d.AirDemand(c.n, c.ve)
		if !errors.Is(err, engine.ErrOutOfRange) || !math.IsNaN(float64(q)) || !strings.Contains(err.Error(), c.hint) {
			t.Errorf("%v, %v: %v, %v", c.n, c.ve, q, err)
		}
	}
	if _, err := (engine.Description{}).AirDemand(50, 0.8); !errors.Is(err, engine.ErrMissing) {
		t.Error(err)
	}
}

// The curve passes the four rated values with both level tangents: P = 2π·n·T.
func TestRatedCurve(t *testing.T) {
	d := described(t)
	rpm := func(x float64) RotationalSpeed { return RotationalSpeed(x) * RevolutionPerMinute }
	c, err := engine.RatedCurve(d, []RotationalSpeed{rpm(3199), rpm(3200), rpm(3201), rpm(5499), rpm(5500), rpm(5501)})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "greatest torque", float64(c.Torque[1]), 122, 1e-9)
	within(t, "greatest power", float64(c.Power[4]), 60e3, 1e-6)
	if !(c.Torque[0] < c.Torque[1] && c.Torque[2] < c.Torque[1]) || !(c.Power[3] < c.Power[4] && c.Power[5] < c.Power[4]) {
		t.Errorf("no summit at the rated points: torque %v, power %v", c.Torque, c.Power)
	}
	full, err := engine.RatedCurve(d, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, x := range full.Torque {
		if x <= 0 || x > 122 {
			t.Errorf("torque %v at %v", x, full.Speed[i])
		}
	}
	effect, err := engine.ChangeOfPower(dryAir(t, 99e3, 30), dryAir(t, 99e3, 60))
	if err != nil {
		t.Fatal(err)
	}
	band := full.Scale(effect)
	for i := range full.Speed {
		within(t, "low", float64(band.Low.Power[i]/full.Power[i]), 1-0.0550, 1e-4)
		within(t, "high", float64(band.High.Torque[i]/full.Torque[i]), 1-0.0461, 1e-4)
	}
	if _, err := engine.RatedCurve(engine.Description{Displacement: Litre}, nil); !errors.Is(err, engine.ErrMissing) {
		t.Error(err)
	}
}

func TestVolumetricEfficiency(t *testing.T) {
	v, err := engine.AssumedVolumetricEfficiency(described(t))
	if err != nil {
		t.Fatal(err)
	}
	at, err := v.At(3200 * RevolutionPerMinute)
	if err != nil || at != 0.85 || v.Assumed == "" {
		t.Errorf("at 3200: %v, %v, %q", at, err, v.Assumed)
	}
	if at, err := v.At(3200); !errors.Is(err, engine.ErrOutOfRange) || !math.IsNaN(at) {
		t.Errorf("3200 revolutions per second: %v, %v", at, err)
	}
}

// Heywood (1988), 2.7: bmep (kPa) = 6.28·n_R·T(N·m)/V_d(dm³), n_R = 2; 122 N·m
// of 1.598 L is 959 kPa.
func TestMeanEffectivePressure(t *testing.T) {
	d := described(t)
	p, err := d.MeanEffectivePressure(d.RatedTorque)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "bmep", p.Kilopascals(), 6.28*2*122/1.598, 1)
}
