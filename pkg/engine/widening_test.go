package engine_test

import (
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/fuel"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Nothing that is not known is computed and not used: each source alone makes the
// band of power as wide as it does by hand, from λ = 0.98 and 60 °C to 30 °C. There
// a venturi leans by √(333.15/303.15), to λ = 1.0277, and power by the middle
// parabola, 1 − 0.035·((λ − 0.87)/0.13)², falls from 0.9749 by 2.7 %, all that times
// the 1.053 of the cooler air. A uniform distribution has 95 % of its width.
func TestEachSourceWidensThePower(t *testing.T) {
	const cooler = 1.053
	cool := Celsius(40)
	known := engine.Metering{Kind: engine.ConstantDepression, BowlBefore: cool, BowlAfter: cool}
	part := func(c engine.Charge, source string) engine.PowerPart {
		t.Helper()
		if c.Outside == (air.State{}) {
			c.Outside = dryAir(t, 101325, 15)
		}
		c.Lambda = engine.LambdaRange{Low: 0.98, High: 0.98, Measured: true}
		for _, p := range budget(t, c, exactly(45), exactly(-30)).Parts {
			if p.Source.ID == source {
				return p
			}
		}
		return engine.PowerPart{}
	}
	width := func(what string, g engine.Metering, source string, want, half float64) {
		t.Helper()
		within(t, what, part(engine.Charge{Metering: g}, source).Alone.Width(), want, half)
	}
	// With an air-correction jet by the exponent 3/8 instead of 1/2: λ = 1.0156.
	g := known
	g.Kind = engine.FixedJet
	width("air-correction jet", g, "air-correction jet", 0.95*0.0080*cooler, 0.0006)
	width("none, with a constant depression", known, "air-correction jet", 0, 0)
	// A bowl that stays or follows by 30 K, 0.095 to 0.11 % each: λ = 1.0277 or 1.0122.
	width("float bowl", engine.Metering{Kind: engine.ConstantDepression}, "fuel in the float bowl", 0.95*0.0099*cooler, 0.0008)
	// An injection that holds λ, or shifts as a carburettor: the whole 2.7 %.
	width("injection", engine.Metering{Kind: engine.Injection}, "how the injection meters", 0.95*0.0271*cooler, 0.0005)
	// Petrol with a twentieth more or less ethanol before: ± 2 % of λ about 1.0277,
	// where a percent of λ is 0.66 % of power.
	g = known
	g.FuelBefore, g.FuelAfter = fuel.Blend{Ethanol: 0.05, Unsure: 0.05}, fuel.Blend{Ethanol: 0.05}
	width("ethanol before", g, "ethanol in the fuel", 0.95*4*0.0066*cooler, 0.002)
	g.FuelBefore, g.FuelAfter = g.FuelAfter, g.FuelBefore
	width("ethanol after", g, "ethanol in the fuel", 0.95*4*0.0066*cooler, 0.002)
	// A duct of 0.6 kPa more on a bowl vented to the outside: λ × 0.866 at the weakest
	// signal, 0.972 at the strongest, which is 0.890 to 0.999, 3.5 % of power; where the
	// vent is not known, from 0.890 to 1.028, 5.2 %, in which the ends are rare.
	g = known
	g.LossBefore, g.LossAfter, g.Vent = 300, 900, engine.VentToOutside
	width("signal over the jet", g, "duct and filter, pressure", 0.95*0.0346*cooler, 0.002)
	g.Vent = engine.UnknownVent
	width("vent", g, "duct and filter, pressure", 0.047, 0.003)
	// The best mixture from 0.84 to 0.90 makes 2.20 to 3.55 %, the loss at λ = 1 of 3 to
	// 4 % makes 2.32 to 3.11 %: two uniform distributions together.
	within(t, "power over λ", part(engine.Charge{Metering: known}, "power over λ").Standard, cooler*math.Hypot(0.0135, 0.0079)/math.Sqrt(12), 0.0003)
	// Barometer and hygrometer hardly count, and are there only where they are unsure.
	moist, err := air.NewState(101325, Celsius(15), 0.7)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		source string
		charge engine.Charge
	}{
		{"outside pressure", engine.Charge{Outside: moist, Metering: known, PressureUncertainty: 2000}},
		{"outside humidity", engine.Charge{Outside: moist, Metering: known, VapourUncertainty: 300}},
	} {
		if p := part(x.charge, x.source); !(p.Standard > 1e-6) || part(engine.Charge{Outside: moist, Metering: known}, x.source).Standard != 0 {
			t.Errorf("%s: %+v", x.source, p)
		}
	}
}
