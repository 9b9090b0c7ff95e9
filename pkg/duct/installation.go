package duct

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Installation is a duct on an engine, compared with what the engine breathes
// now.
type Installation struct {
	Engine engine.Description
	// Efficiency is the full-throttle volumetric efficiency; empty takes
	// [engine.AssumedVolumetricEfficiency].
	Efficiency engine.VolumetricEfficiency
	// Duct is the proposed one, from the mouth to the carburettor, with its
	// filter.
	Duct Duct
	// Present is what there is now (for open filters: the filter alone).
	Present Duct
	Outside air.State
	// PresentIntake is the temperature that the engine breathes now.
	PresentIntake quantity.Temperature
	Bay           Surroundings
	// MouthRise is how much warmer than outside the air at the duct's mouth is.
	MouthRise quantity.TemperatureDifference
	// RamLow and RamHigh are the recovery of road speed's dynamic pressure at
	// the duct's mouth, 0 to 1; both zero credits none.
	RamLow, RamHigh float64
	// Opening is each cylinder's induction in degrees of crankshaft angle for
	// the pulsation, 240 if zero.
	Opening float64
}

// Point is the duct's effect at one engine speed and road speed, full
// throttle.
type Point struct {
	EngineSpeed quantity.RotationalSpeed
	RoadSpeed   quantity.Speed
	Demand      quantity.VolumeFlow
	// Loss is the duct's mean pressure loss with steady flow; its upper bound
	// has the parts' upper figures and the full pulsation of few cylinders, the
	// lower bound the lower figures without.
	Loss estimate.Estimate
	// PresentLoss is that of the present intake, steady.
	PresentLoss quantity.Pressure
	// Ram is the ram pressure, credited apart: none in the value, its bounds
	// those of the recovery.
	Ram    estimate.Estimate
	PickUp PickUp
	// Gained is how much cooler the intake is than now.
	Gained estimate.Estimate
	// Lost is the pressure lost against now, without ram; its bounds pair low
	// with low and high with high, because pulsation and filter act on both.
	Lost estimate.Estimate
	// Power is the relative change of full-throttle power: the middle
	// standard's with the central figures and no ram, bounded by the least
	// favourable losses with the lowest standard and the most favourable with
	// the highest.
	Power estimate.Estimate
	// RamPart is what the ram pressure alone contributes, at most, to Power's
	// upper bound.
	RamPart float64
	// Extrapolated is true if a correction standard is used outside its window.
	Extrapolated bool
}

func (x Installation) prepared() (Installation, error) {
	if err := x.Engine.Check(); err != nil {
		return x, err
	}
	if x.Engine.Cylinders == 0 {
		return x, fmt.Errorf("duct.Installation: cylinders: %w", engine.ErrMissing)
	}
	if len(x.Efficiency.Speed) == 0 {
		v, err := engine.AssumedVolumetricEfficiency(x.Engine)
		if err != nil {
			return x, err
		}
		x.Efficiency = v
	}
	if x.Opening == 0 {
		x.Opening = 240
	}
	if !(x.RamLow >= 0 && x.RamLow <= x.RamHigh && x.RamHigh <= 1) {
		return x, rangeError("Installation", fmt.Sprintf("ram recovery from %g to", x.RamLow), x.RamHigh, 0, 1, plain, "both in that range and ascending")
	}
	if !(x.MouthRise >= 0 && x.MouthRise <= 60) {
		return x, rangeError("Installation", "rise at the mouth", float64(x.MouthRise), 0, 60, quantity.KindTemperatureDifference.SI(), "")
	}
	return x, nil
}

// At returns the duct's effect at full throttle at engine speed n and road
// speed v.
//
// It fails for an engine or part that can't be, each named, and for a flow
// that the parts can't carry.
func (x Installation) At(n quantity.RotationalSpeed, v quantity.Speed) (Point, error) {
	x, err := x.prepared()
	if err != nil {
		return Point{}, err
	}
	return x.at(n, v)
}

func (x Installation) at(n quantity.RotationalSpeed, v quantity.Speed) (Point, error) {
	p := Point{EngineSpeed: n, RoadSpeed: v, Power: estimate.Unknown("change of full-throttle power", share, "an input is not valid")}
	ve, err := x.Efficiency.At(n)
	if err != nil {
		return p, err
	}
	if p.Demand, err = x.Engine.AirDemand(n, ve); err != nil {
		return p, err
	}
	now, err := x.Outside.Heated(x.PresentIntake)
	if err != nil {
		return p, fmt.Errorf("present intake: %w", err)
	}
	mouth, err := x.Outside.Heated(x.Outside.Temperature.Add(x.MouthRise))
	if err != nil {
		return p, fmt.Errorf("duct's mouth: %w", err)
	}
	present, err := x.Present.Flow(now, p.Demand)
	if err != nil {
		return p, fmt.Errorf("present intake: %w", err)
	}
	proposed, err := x.Duct.Flow(mouth, p.Demand)
	if err != nil {
		return p, fmt.Errorf("proposed duct: %w", err)
	}
	pulse, _, err := PulsationFactor(x.Engine.Cylinders, x.Opening)
	if err != nil {
		return p, err
	}
	if p.PickUp, err = x.Duct.PickUp(mouth, p.Demand, x.Bay); err != nil {
		return p, err
	}
	was, will := present.Loss, proposed.Loss
	p.PresentLoss = quantity.Pressure(was.Value)
	p.Loss = pressureLoss(will.Value, will.Interval.Low, pulse*will.Interval.High)
	p.Lost = estimate.Within("pressure lost against now", will.Value-was.Value, pascal,
		will.Interval.Low-was.Interval.Low, pulse*(will.Interval.High-was.Interval.High))
	ramLow, err := RamPressure(x.Outside, v, x.RamLow)
	if err != nil {
		return p, err
	}
	ramHigh, err := RamPressure(x.Outside, v, x.RamHigh)
	if err != nil {
		return p, err
	}
	p.Ram = estimate.Within("ram pressure", 0, pascal, float64(ramLow), float64(ramHigh))
	gained, rise := now.Temperature.Sub(mouth.Temperature).Kelvins(), p.PickUp.Rise
	p.Gained = estimate.Within("cooler than now", gained-rise.Value, kelvin, gained-rise.Interval.High, gained-rise.Interval.Low)
	err = x.power(&p, now, mouth, present, pulse)
	return p, err
}

var share = quantity.KindShare.Shown()

// power fills the changes of power from the losses and temperatures.
func (x Installation) power(p *Point, now, mouth air.State, present Flow, pulse float64) error {
	change := func(presentLoss, loss, ram, rise float64) (engine.Effect, error) {
		from, err := now.AtPressure(now.Pressure - quantity.Pressure(presentLoss))
		if err != nil {
			return engine.Effect{}, err
		}
		to, err := mouth.Heated(mouth.Temperature.Add(quantity.KelvinDifference(rise)))
		if err != nil {
			return engine.Effect{}, err
		}
		if to, err = to.AtPressure(to.Pressure - quantity.Pressure(loss-ram)); err != nil {
			return engine.Effect{}, err
		}
		return engine.ChangeOfPower(from, to)
	}
	// The same pulsation and the same state of the common filter act on both
	// sides, so they are paired: low with low, high with high.
	worst, err := change(pulse*present.Loss.Interval.High, p.Loss.Interval.High, p.Ram.Interval.Low, p.PickUp.Rise.Interval.High)
	if err != nil {
		return fmt.Errorf("duct at %v: %w", p.EngineSpeed, err)
	}
	best, err := change(present.Loss.Interval.Low, p.Loss.Interval.Low, p.Ram.Interval.High, p.PickUp.Rise.Interval.Low)
	if err != nil {
		return fmt.Errorf("duct at %v: %w", p.EngineSpeed, err)
	}
	still, err := change(present.Loss.Interval.Low, p.Loss.Interval.Low, 0, p.PickUp.Rise.Interval.Low)
	if err != nil {
		return fmt.Errorf("duct at %v: %w", p.EngineSpeed, err)
	}
	central, err := change(present.Loss.Value, p.Loss.Value, 0, p.PickUp.Rise.Value)
	if err != nil {
		return fmt.Errorf("duct at %v: %w", p.EngineSpeed, err)
	}
	p.Power = estimate.Within("change of full-throttle power", central.Power.Value, share, worst.Power.Interval.Low, best.Power.Interval.High)
	p.RamPart = best.Power.Interval.High - still.Power.Interval.High
	if p.Extrapolated = worst.Extrapolated || best.Extrapolated; p.Extrapolated {
		p.Power.Warnings = central.Power.Warnings
	}
	return nil
}

// String returns one line: kelvin gained, kilopascal lost, percent of power.
func (p Point) String() string {
	s := fmt.Sprintf("%v, %v: %.1f K cooler (%.1f to %.1f), %.2f kPa lost (%.2f to %.2f), ram %.2f to %.2f kPa, full-throttle power %+.1f %% (%+.1f to %+.1f; of it ram at most %.1f)",
		p.EngineSpeed, p.RoadSpeed, p.Gained.Value, p.Gained.Interval.Low, p.Gained.Interval.High, p.Lost.Value/1e3, p.Lost.Interval.Low/1e3, p.Lost.Interval.High/1e3,
		p.Ram.Interval.Low/1e3, p.Ram.Interval.High/1e3, 100*p.Power.Value, 100*p.Power.Interval.Low, 100*p.Power.Interval.High, 100*p.RamPart)
	if p.Extrapolated {
		s += " (extrapolated)"
	}
	return s
}
