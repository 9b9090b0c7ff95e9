package duct

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
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
	// Loss is the duct's mean pressure loss with steady flow; LossHigh has the
	// parts' upper figures and the full pulsation of few cylinders, LossLow the
	// lower figures without.
	Loss, LossLow, LossHigh quantity.Pressure
	// PresentLoss is that of the present intake, steady.
	PresentLoss quantity.Pressure
	// RamLow and RamHigh are the ram pressure, credited apart.
	RamLow, RamHigh quantity.Pressure
	PickUp          PickUp
	// Gained is how much cooler the intake is than now, with its range.
	Gained, GainedLow, GainedHigh quantity.TemperatureDifference
	// Lost is the pressure lost against now, without ram; the range pairs low
	// with low and high with high, because pulsation and filter act on both.
	Lost, LostLow, LostHigh quantity.Pressure
	// PowerLow and PowerHigh bound the relative change of full-throttle power:
	// the least favourable losses with the lowest standard, the most favourable
	// with the highest. Power is the middle standard's with the central figures
	// and no ram.
	Power, PowerLow, PowerHigh float64
	// RamPart is what the ram pressure alone contributes, at most, to PowerHigh.
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
func (x Installation) At(n quantity.RotationalSpeed, v quantity.Speed) (Point, error) {
	x, err := x.prepared()
	if err != nil {
		return Point{}, err
	}
	return x.at(n, v)
}

func (x Installation) at(n quantity.RotationalSpeed, v quantity.Speed) (Point, error) {
	p := Point{EngineSpeed: n, RoadSpeed: v, Power: math.NaN(), PowerLow: math.NaN(), PowerHigh: math.NaN()}
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
	p.Loss, p.LossLow, p.LossHigh = proposed.Loss, proposed.LossLow, quantity.Pressure(pulse)*proposed.LossHigh
	p.PresentLoss, p.Lost = present.Loss, proposed.Loss-present.Loss
	p.LostLow, p.LostHigh = p.LossLow-present.LossLow, p.LossHigh-quantity.Pressure(pulse)*present.LossHigh
	if p.RamLow, err = RamPressure(x.Outside, v, x.RamLow); err != nil {
		return p, err
	}
	if p.RamHigh, err = RamPressure(x.Outside, v, x.RamHigh); err != nil {
		return p, err
	}
	gained := now.Temperature.Sub(mouth.Temperature)
	p.Gained, p.GainedLow, p.GainedHigh = gained-p.PickUp.Rise, gained-p.PickUp.RiseHigh, gained-p.PickUp.RiseLow
	return p, x.power(&p, now, mouth, present, pulse)
}

// power fills the changes of power from the losses and temperatures.
func (x Installation) power(p *Point, now, mouth air.State, present Flow, pulse float64) error {
	change := func(presentLoss, loss, ram quantity.Pressure, rise quantity.TemperatureDifference) (engine.Effect, error) {
		from, err := now.AtPressure(now.Pressure - presentLoss)
		if err != nil {
			return engine.Effect{}, err
		}
		to, err := mouth.Heated(mouth.Temperature.Add(rise))
		if err != nil {
			return engine.Effect{}, err
		}
		if to, err = to.AtPressure(to.Pressure - loss + ram); err != nil {
			return engine.Effect{}, err
		}
		return engine.ChangeOfPower(from, to)
	}
	// The same pulsation and the same state of the common filter act on both
	// sides, so they are paired: low with low, high with high.
	worst, err := change(quantity.Pressure(pulse)*present.LossHigh, p.LossHigh, p.RamLow, p.PickUp.RiseHigh)
	if err != nil {
		return fmt.Errorf("duct at %v: %w", p.EngineSpeed, err)
	}
	best, err := change(present.LossLow, p.LossLow, p.RamHigh, p.PickUp.RiseLow)
	if err != nil {
		return fmt.Errorf("duct at %v: %w", p.EngineSpeed, err)
	}
	still, err := change(present.LossLow, p.LossLow, 0, p.PickUp.RiseLow)
	if err != nil {
		return fmt.Errorf("duct at %v: %w", p.EngineSpeed, err)
	}
	central, err := change(present.Loss, p.Loss, 0, p.PickUp.Rise)
	if err != nil {
		return fmt.Errorf("duct at %v: %w", p.EngineSpeed, err)
	}
	p.PowerLow, _ = worst.Range()
	_, p.PowerHigh = best.Range()
	_, without := still.Range()
	p.RamPart = p.PowerHigh - without
	p.Power = median(central.Estimates)
	p.Extrapolated = worst.Extrapolated || best.Extrapolated
	return nil
}

// median returns the middle of the estimates, of which there are three.
func median(e []engine.Estimate) float64 {
	a, b, c := e[0].Change, e[1].Change, e[2].Change
	return math.Max(math.Min(a, b), math.Min(math.Max(a, b), c))
}

// String returns one line: kelvin gained, kilopascal lost, percent of power.
func (p Point) String() string {
	s := fmt.Sprintf("%v, %v: %.1f K cooler (%.1f to %.1f), %.2f kPa lost (%.2f to %.2f), ram %.2f to %.2f kPa, full-throttle power %+.1f %% (%+.1f to %+.1f; of it ram at most %.1f)",
		p.EngineSpeed, p.RoadSpeed, float64(p.Gained), float64(p.GainedLow), float64(p.GainedHigh), p.Lost.Kilopascals(), p.LostLow.Kilopascals(), p.LostHigh.Kilopascals(),
		p.RamLow.Kilopascals(), p.RamHigh.Kilopascals(), 100*p.Power, 100*p.PowerLow, 100*p.PowerHigh, 100*p.RamPart)
	if p.Extrapolated {
		s += " (extrapolated)"
	}
	return s
}
