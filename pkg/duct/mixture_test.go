package duct

import (
	"errors"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// The mixture is in the band: with an unknown λ it is wider than by the
// standards alone, a rich engine gains more and a lean one less, by about half of
// a percent's shift a kelvin and a half (√ of the density, see package engine);
// the part of temperature and pressure alone lies in the point's bounds.
func TestMixtureIsInTheDuctsPower(t *testing.T) {
	x := demo(t)
	const n = 5000 * quantity.RevolutionPerMinute
	p, err := x.At(n, 0)
	if err != nil {
		t.Fatal(err)
	}
	with := func(low, high float64) engine.PowerBudget {
		b, err := x.WithMixture(n, 0, engine.Metering{Vent: engine.VentToMouth}, engine.LambdaRange{Low: low, High: high, Measured: high < 1})
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	rich, lean, unknown := with(0.80, 0.82), with(0.97, 0.99), with(0.80, 1)
	if !(rich.Total.Value > p.Power.Value && lean.Total.Value < p.Power.Value && unknown.Total.Interval.Width() > p.Power.Interval.Width()) {
		t.Errorf("by the standards %v\nrich %v\nlean %v\nunknown %v", p.Power, rich, lean, unknown)
	}
	if math.Abs(unknown.Air.Value-p.Power.Value) > 0.001 || !holds(p.Power, unknown.Air) {
		t.Errorf("temperature and pressure: %v, at the point %v", unknown.Air, p.Power)
	}
	// What the duct loses and how far it is known is in it, too.
	x.Duct.Parts[1] = CorrugatedHose(38*quantity.Millimetre, 1)
	thin := with(0.80, 1)
	if !(thin.Air.Value < unknown.Air.Value-0.01 && thin.Air.Interval.Width() > unknown.Air.Interval.Width()) {
		t.Errorf("a thin hose: %v, a wide one %v", thin.Air, unknown.Air)
	}
	if _, err := x.WithMixture(-1, 0, engine.Metering{}, engine.LambdaRange{}); !errors.Is(err, ErrOutOfRange) {
		t.Errorf("no speed: %v", err)
	}
	if _, err := x.WithMixture(n, 0, engine.Metering{}, engine.LambdaRange{Low: 2, High: 3}); !errors.Is(err, ErrOutOfRange) {
		t.Errorf("λ of 2: %v", err)
	}
}
