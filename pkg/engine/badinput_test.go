package engine_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/fuel"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

func TestImpossibleDisplacementIsRefused(t *testing.T) {
	for _, v := range []Volume{Volume(math.Inf(1)), Volume(math.NaN()), -Litre, 1598} { // 1598 m³
		d := engine.Description{Displacement: v}
		if q, err := d.AirDemand(3000*RevolutionPerMinute, 0.8); !errors.Is(err, engine.ErrOutOfRange) || !math.IsNaN(float64(q)) {
			t.Errorf("%v: air demand %v, %v", v, q, err)
		}
		if p, err := d.MeanEffectivePressure(120); !errors.Is(err, engine.ErrOutOfRange) || !math.IsNaN(float64(p)) {
			t.Errorf("%v: mean effective pressure %v, %v", v, p, err)
		}
		if err := d.Check(); !errors.Is(err, engine.ErrOutOfRange) {
			t.Errorf("%v: %v", v, err)
		}
	}
	if p, err := (engine.Description{Displacement: Litre}).MeanEffectivePressure(Torque(math.Inf(1))); !errors.Is(err, engine.ErrOutOfRange) {
		t.Errorf("infinite torque: %v, %v", p, err)
	}
}

// What can't be is refused where it would else pass without a word.
func TestNonsenseIsRefused(t *testing.T) {
	s, nan, inf := dryAir(t, 101325, 20), math.NaN(), math.Inf(1)
	charge := engine.Charge{Outside: s}
	power := func(change func(c *engine.Charge)) error {
		c := charge
		change(&c)
		_, err := c.Power(exactly(30), exactly(-20))
		return err
	}
	upside := exactly(30)
	upside.Interval = estimate.Interval{Low: 40, High: 20, Level: 0.95}
	state := func(i int, p float64, k float64) error {
		ps, ts := []Pressure{4e6, 4e6, 4e6}, []Temperature{Kelvin(800), Kelvin(800), Kelvin(800)}
		ps[i], ts[i] = Pressure(p), Kelvin(k)
		_, err := engine.LivengoodWu(95, []float64{0, 1e-3, 2e-3}, ps, ts)
		return err
	}
	held := func(w engine.WarmAir) error {
		_, err := w.Lost(s, KelvinDifference(4), engine.FixedJet)
		return err
	}
	filled := func(speeds ...RotationalSpeed) error {
		_, err := engine.VolumetricEfficiency{Speed: speeds, Value: []float64{0.7, 0.8}}.At(50)
		return err
	}
	torque := func(t Torque) error {
		_, err := engine.Description{Displacement: Litre}.MeanEffectivePressure(t)
		return err
	}
	for name, err := range map[string]error{
		"uncertainty of the pressure, NaN": power(func(c *engine.Charge) { c.PressureUncertainty = Pressure(nan) }),
		"below zero":                       power(func(c *engine.Charge) { c.VapourUncertainty = -1 }),
		"endless":                          power(func(c *engine.Charge) { c.VapourUncertainty = Pressure(inf) }),
		"bowl below absolute zero":         power(func(c *engine.Charge) { c.Metering.BowlBefore = Celsius(-300) }),
		"bowl of NaN":                      power(func(c *engine.Charge) { c.Metering.BowlAfter = Celsius(nan) }),
		"ethanol in hundreds":              power(func(c *engine.Charge) { c.Metering.FuelAfter = fuel.Blend{Ethanol: 10} }),
		"ethanol's half width":             power(func(c *engine.Charge) { c.Metering.FuelAfter = fuel.Blend{Ethanol: 0.1, Unsure: nan} }),
		"pressure of the mixture, NaN":     state(1, nan, 800),
		"pressure below zero":              state(0, -4e6, 800),
		"temperature of the mixture":       state(2, 4e6, nan),
		"warm air of NaN":                  held(engine.WarmAir{Held: Celsius(nan)}),
		"warm air, glowing":                held(engine.WarmAir{Held: Celsius(350)}),
		"bound of the warm air":            held(engine.WarmAir{Held: Celsius(40), HeldLow: Celsius(-300)}),
		"no warm air":                      held(engine.WarmAir{}),
		"first speed of NaN":               filled(RotationalSpeed(nan), 60),
		"first speed below zero":           filled(-20, 60),
		"last speed endless":               filled(20, RotationalSpeed(inf)),
		"torque of a ship":                 torque(1e12),
	} {
		if !errors.Is(err, engine.ErrOutOfRange) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := filled(-20, 60); !strings.Contains(err.Error(), "from 0 ") {
		t.Errorf("the least speed is not told: %v", err)
	}
	if _, err := charge.Power(upside, exactly(-20)); !errors.Is(err, estimate.ErrUnknown) {
		t.Errorf("interval upside down: %v", err)
	}
	if _, err := engine.PowerOfMixture(engine.MixtureShift{Ratio: nan, Low: 1, High: 1.1}, engine.UsualLambda()); !errors.Is(err, engine.ErrOutOfRange) {
		t.Errorf("shift of NaN: %v", err)
	}
	intake := &series.Series{Name: "intake", Dimension: series.Temperature, Time: []float64{0, nan}, Value: []float64{300, 300}}
	if _, err := engine.ChangeOverTime(intake, s); !errors.Is(err, series.ErrShape) {
		t.Errorf("a time of NaN: %v", err)
	}
}
