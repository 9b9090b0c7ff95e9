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

// described is an invented engine.
func described(t *testing.T) engine.Description {
	t.Helper()
	d := engine.Description{
		Name: "demo", Displacement: 1598 * CubicCentimetre, Cylinders: 4, Bore: 0.079, Stroke: 0.0815, CompressionRatio: 9,
		RatedPower: 60e3, RatedPowerSpeed: 5500 * RevolutionPerMinute, RatedTorque: 122, RatedTorqueSpeed: 3200 * RevolutionPerMinute,
		Redline: 6200 * RevolutionPerMinute, Carburettor: engine.ConstantDepression, Carburettors: 1, Thermostat: Celsius(82),
	}
	if err := d.Check(); err != nil {
		t.Fatal(err)
	}
	return d
}

func TestDescriptionProblems(t *testing.T) {
	for _, c := range []struct {
		change func(*engine.Description)
		want   string
	}{
		{func(x *engine.Description) { x.Displacement = 0 }, "displacement: missing"},
		{func(x *engine.Description) { x.Displacement = 1.598 * CubicCentimetre }, "displacement 1.598 cm³"},
		{func(x *engine.Description) { x.Bore = 0.79 }, "bore 790 mm"},
		{func(x *engine.Description) { x.Cylinders = 6 }, "one of the four is wrong"},
		{func(x *engine.Description) { x.RatedPower = 90e3 }, "more than the rated"},
		{func(x *engine.Description) { x.RatedTorqueSpeed = 5600 * RevolutionPerMinute }, "swapped"},
		{func(x *engine.Description) { x.Redline = 5000 * RevolutionPerMinute }, "above the redline"},
		{func(x *engine.Description) { x.Thermostat = Kelvin(82) }, "thermostat"},
		{func(x *engine.Description) { x.CompressionRatio = 90 }, "compression ratio 90"},
		{func(x *engine.Description) { x.Lambda = engine.LambdaRange{Low: 12.5, High: 13} }, "λ 12.5"},
	} {
		x := described(t)
		c.change(&x)
		if err := x.Check(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("want %q, got %v", c.want, err)
		}
	}
	if _, err := engine.ParseCarburettor("two-barrel"); err == nil || !strings.Contains(err.Error(), "want \"fixed-jet\"") {
		t.Errorf("two-barrel: %v", err)
	}
	for text, want := range map[string]engine.LambdaRange{"0.82 to 0.88": {Low: 0.82, High: 0.88, Measured: true}, "0.9": {Low: 0.89, High: 0.91, Measured: true}} {
		if l, err := engine.ParseLambda(text); err != nil || l != want {
			t.Errorf("%s: %v, %v", text, l, err)
		}
	}
	for _, text := range []string{"", "rich", "12.5", "0.9 to 0.8", "0.9 to x"} {
		if l, err := engine.ParseLambda(text); err == nil || l.Measured {
			t.Errorf("%q: %v", text, l)
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
