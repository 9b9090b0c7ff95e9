package duct

import (
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Idle is the duct at idle, where power means nothing.
type Idle struct {
	// Units are those in which it is read: the installation's.
	Units       quantity.Preferred
	EngineSpeed quantity.RotationalSpeed
	Demand      quantity.VolumeFlow
	PickUp      PickUp
	// Intake is the temperature at the carburettor through the duct, from a
	// mouth as warm as a standing car's; Gained is how much cooler than now.
	// Its bounds, and those of PickUp's rise, have the bounds of the mouth's
	// rise, of the volumetric efficiency and of the heat transfer.
	Intake  quantity.Temperature
	Gained  estimate.Estimate
	Loss    estimate.Estimate
	Mixture engine.MixtureShift
	Note    string
}

// Idle returns what the duct does at idle speed n with the volumetric
// efficiency of idle, referred to intake density, known to two fifths; zero takes
// 0.22 (warm engines idle on 0.14 to 0.3, as workshop texts measure and print
// it). Do not judge a duct by this: the slow air picks up several times the heat
// of full throttle.
//
// Errors are those of [Installation.At].
func (x Installation) Idle(n quantity.RotationalSpeed, efficiency float64) (Idle, error) {
	none := Idle{EngineSpeed: n, Units: x.Units, Gained: estimate.Unknown("cooler than now", kelvin, "an input is not valid")}
	x, err := x.prepared()
	if err != nil {
		return none, err
	}
	if efficiency == 0 {
		efficiency = idleTypical
	}
	i := none
	i.Note = "Idle apart: no power is at stake, and standing or slow air is warmest. Judge the duct at full throttle and on the move."
	if i.Demand, err = x.Engine.AirDemand(n, efficiency); err != nil {
		return i, err
	}
	mouths, err := x.mouths(x.IdleMouthRiseLow, x.IdleMouthRise, x.IdleMouthRiseHigh)
	if err != nil {
		return i, err
	}
	if i.PickUp, err = x.Duct.PickUp(mouths.typical, i.Demand, x.Bay); err != nil {
		return i, err
	}
	slow, fast := i.Demand*(1-idleEfficiency), i.Demand*(1+idleEfficiency)
	warmest, err := x.Duct.PickUp(mouths.warm, slow, x.Bay)
	if err != nil {
		return i, err
	}
	coolest, err := x.Duct.PickUp(mouths.cool, fast, x.Bay)
	if err != nil {
		return i, err
	}
	flow, err := x.Duct.Flow(mouths.typical, i.Demand)
	if err != nil {
		return i, err
	}
	i.Loss, i.Intake = flow.Loss, i.PickUp.Outlet
	now := x.PresentIntake
	hottest := mouths.warm.Temperature.Add(quantity.KelvinDifference(warmest.Rise.Interval.High))
	coldest := mouths.cool.Temperature.Add(quantity.KelvinDifference(coolest.Rise.Interval.Low))
	i.Gained = estimate.Within("cooler than now", now.Sub(i.Intake).Kelvins(), kelvin, now.Sub(hottest).Kelvins(), now.Sub(coldest).Kelvins())
	i.PickUp.Rise = estimate.Within(i.PickUp.Rise.Name, i.PickUp.Rise.Value, kelvin,
		min(coolest.Rise.Interval.Low, warmest.Rise.Interval.Low), max(coolest.Rise.Interval.High, warmest.Rise.Interval.High))
	breathes, err := x.Outside.Heated(now)
	if err != nil {
		return i, err
	}
	then, err := mouths.typical.Heated(i.Intake)
	if err != nil {
		return i, err
	}
	i.Mixture, err = engine.ShiftOfMixture(x.Engine.Carburettor, breathes, then)
	return i, err
}

// idleTypical is idle's volumetric efficiency and idleEfficiency its relative
// half-width: 0.13 to 0.31.
const idleTypical, idleEfficiency = 0.22, 0.4

// ReadIn returns the units in which it is read.
func (i Idle) ReadIn() quantity.Preferred { return i.Units }

// String returns the rise on the way, the intake temperature and the note.
func (i Idle) String() string {
	unit := i.Units.Of(quantity.KindTemperatureDifference)
	intake, _ := i.Units.Text(i.Intake)
	return fmt.Sprintf("idle at %v: %s, intake %s, %s cooler than now (%+.1f to %+.1f). %s",
		i.EngineSpeed, i.PickUp.onTheWay(i.Units), intake, i.Units.Say(quantity.KindTemperatureDifference, "%+.1f", i.Gained.Value),
		unit.FromSI(i.Gained.Interval.Low), unit.FromSI(i.Gained.Interval.High), i.Note)
}

// Table returns the effect at each engine speed and road speed, engine speeds
// in the outer loop. Combinations that no gear allows are the caller's to
// leave out.
//
// Errors are those of [Installation.At]; the points before it are returned.
func (x Installation) Table(engineSpeeds []quantity.RotationalSpeed, roadSpeeds []quantity.Speed) ([]Point, error) {
	x, err := x.prepared()
	if err != nil {
		return nil, err
	}
	points := make([]Point, 0, len(engineSpeeds)*len(roadSpeeds))
	for _, n := range engineSpeeds {
		for _, v := range roadSpeeds {
			p, err := x.withParts(n, v)
			if err != nil {
				return points, err
			}
			points = append(points, p)
		}
	}
	return points, nil
}

// Change is one thing that could be done to a duct, and what it would be worth
// in full-throttle power by the central figures.
type Change struct {
	What string
	// Gain is the further relative change of power, above 0 for better.
	Gain Share
}

// Share is a relative change that prints in percent: 0.012 as "+1.20 %".
type Share float64

// String returns the share in percent.
func (s Share) String() string { return fmt.Sprintf("%+.2f %%", 100*float64(s)) }

// ChangesWorthMaking returns what to change first at engine speed n, standing
// still, the most useful first: each hose smooth instead of corrugated, each
// part 10 mm wider, each fitting or filter of half the loss, each hose half as
// long, each hose insulated by 10 mm, the mouth at outside temperature. Each is
// computed alone; gains do not add up exactly.
//
// Errors are those of [Installation.At]; a change that can't be made is left out.
func (x Installation) ChangesWorthMaking(n quantity.RotationalSpeed) ([]Change, error) {
	x, err := x.prepared()
	if err != nil {
		return nil, err
	}
	base, err := x.at(n, 0)
	if err != nil {
		return nil, err
	}
	var changes []Change
	try := func(what string, y Installation) {
		p, err := y.at(n, 0)
		if err != nil {
			return // a part that cannot be widened further, for instance
		}
		if g := p.Power.Value - base.Power.Value; g > 0 {
			changes = append(changes, Change{what, Share(g)})
		}
	}
	with := func(i int, change func(p *Part)) Installation {
		y := x
		y.Duct = Duct{Name: x.Duct.Name, Parts: slices.Clone(x.Duct.Parts)}
		change(&y.Duct.Parts[i])
		return y
	}
	for i, p := range x.Duct.Parts {
		name := fmt.Sprintf("part %d, %s", i+1, p.Name)
		if p.Friction > 0 && p.Length > 0 {
			try(name+": smooth bore instead of corrugated", with(i, func(p *Part) {
				p.Friction, p.FrictionLow, p.FrictionHigh, p.Roughness = 0, 0, 0, smoothHose
			}))
		}
		if p.Diameter > 0 {
			try(name+": 10 mm wider", with(i, func(p *Part) { p.Diameter += 10 * quantity.Millimetre }))
		}
		if p.Loss > 0 {
			try(name+": half the loss (rounder edge, wider bend)", with(i, func(p *Part) { p.Loss, p.LossLow, p.LossHigh = p.Loss/2, p.LossLow/2, p.LossHigh/2 }))
		}
		if p.Drop > 0 {
			try(name+": half the pressure drop (larger or cleaner)", with(i, func(p *Part) { p.Drop /= 2 }))
		}
		if p.Length > 0 {
			try(name+": half as long", with(i, func(p *Part) { p.Length /= 2 }))
			if p.InBay {
				try(name+": insulated by 10 mm of foam", with(i, func(p *Part) { *p = Insulated(*p, 10*quantity.Millimetre) }))
			}
		}
	}
	if x.MouthRise > 0 {
		y := x
		y.MouthRise, y.MouthRiseLow = 0, 0
		try("mouth moved to where the air is as cool as outside", y)
	}
	slices.SortStableFunc(changes, func(a, b Change) int {
		switch {
		case a.Gain > b.Gain:
			return -1
		case a.Gain < b.Gain:
			return 1
		}
		return 0
	})
	return changes, nil
}

// String returns the change and its worth.
func (c Change) String() string { return fmt.Sprintf("%v %s", c.Gain, c.What) }

// Cautions are to be read before a duct is made.
func (x Installation) Cautions() []string {
	return []string{
		engine.PartThrottleNote,
		engine.InKindNote,
		"Resonance of the intake is not modelled.",
		"Ram pressure is credited apart: it is no effect of temperature, and it needs a mouth in clean air.",
		"Keep filter and flame trap; keep hoses from exhaust, fan and linkage; vent the float bowl to the duct's pressure, or the duct's depression enriches the mixture.",
		"Colder air leans a carburettor and can ice it: check the mixture, and keep a way to warm air for cool damp weather.",
	}
}
