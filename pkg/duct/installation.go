package duct

import (
	"fmt"
	"slices"
	"strings"

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
	// [engine.AssumedVolumetricEfficiency]. What is assumed is uncertain by
	// [engine.AssumedEfficiencyUncertainty], which is in all bounds.
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
	// MouthRise is how much warmer than outside the air at the duct's mouth is
	// on the road, MouthRiseLow and MouthRiseHigh its bounds. Bounds that are
	// both zero take half of it and 5 K more than it: a grille in front of a
	// radiator, warm tarmac (common practice, no source).
	MouthRise, MouthRiseLow, MouthRiseHigh quantity.TemperatureDifference
	// IdleMouthRise is that of a standing car, IdleMouthRiseLow and
	// IdleMouthRiseHigh its bounds. Zero takes MouthRiseHigh; bounds that are
	// both zero take MouthRiseLow and 15 K more than the rise: a fan's hot air
	// comes round to the grille (no source; a logger in the mouth tells).
	IdleMouthRise, IdleMouthRiseLow, IdleMouthRiseHigh quantity.TemperatureDifference
	// RamLow and RamHigh are the recovery of road speed's dynamic pressure at
	// the duct's mouth, 0 to 1; both zero credits none.
	RamLow, RamHigh float64
	// Units are those in which results are to be read; the zero value takes the
	// usual ones.
	Units quantity.Preferred
	// Opening is each cylinder's induction in degrees of crankshaft angle for
	// the pulsation, 240 if zero.
	Opening float64
}

// Point is the duct's effect at one engine speed and road speed, full
// throttle.
type Point struct {
	EngineSpeed quantity.RotationalSpeed
	RoadSpeed   quantity.Speed
	// Units are those in which it is read: the installation's.
	Units  quantity.Preferred
	Demand quantity.VolumeFlow
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
	// Lost is the pressure lost against now, without ram. Its bounds pair low
	// with low and high with high for pulsation and for the parts that both
	// have, because they act on both; parts that only the present intake has
	// are as uncertain as those of the duct, and bound it the other way round.
	Lost estimate.Estimate
	// Power is the relative change of full-throttle power: the middle
	// standard's with the central figures and no ram, bounded by the least
	// favourable losses with the lowest standard and the most favourable with
	// the highest.
	Power estimate.Estimate
	// RamPart is what the ram pressure alone contributes, at most, to Power's
	// upper bound.
	RamPart float64
	// Parts say how far each thing that is not known moves Power by itself, the
	// largest first. They act together in Power's bounds, not in squares: those
	// are bounds and no standard uncertainties.
	Parts []PowerPart
	// Extrapolated is true if a correction standard is used outside its window.
	Extrapolated bool
}

func (x Installation) prepared() (Installation, error) {
	if err := x.Engine.Check(); err != nil {
		return x, err
	}
	for _, d := range []struct {
		what string
		Duct
	}{{"duct", x.Duct}, {"present", x.Present}} {
		if err := d.Check(); err != nil {
			return x, fmt.Errorf("duct.Installation, %s: %w", d.what, err)
		}
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
	if _, _, err := PulsationFactor(x.Engine.Cylinders, x.Opening); err != nil {
		return x, err
	}
	if !(x.RamLow >= 0 && x.RamLow <= x.RamHigh && x.RamHigh <= 1) {
		return x, rangeError("Installation", fmt.Sprintf("ram recovery from %g to", x.RamLow), x.RamHigh, 0, 1, plain, "both in that range and ascending")
	}
	err := x.prepareMouth()
	return x, err
}

// At returns the duct's effect at full throttle at engine speed n and road
// speed v.
//
// It fails for an engine or part that can't be, each named, and for a flow
// that the parts can't carry.
func (x Installation) At(n quantity.RotationalSpeed, v quantity.Speed) (Point, error) {
	x, err := x.prepared()
	if err != nil {
		return noPoint(n, v, x.Units), err
	}
	return x.withParts(n, v)
}

// noPoint is what an error leaves.
func noPoint(n quantity.RotationalSpeed, v quantity.Speed, units quantity.Preferred) Point {
	return Point{EngineSpeed: n, RoadSpeed: v, Units: units, Power: estimate.Unknown("change of full-throttle power", share, "an input is not valid")}
}

// at returns the point without its parts.
func (x Installation) at(n quantity.RotationalSpeed, v quantity.Speed) (Point, error) {
	central, others, err := x.demands(n, v)
	return central.widened(others), err
}

// withParts returns the point with its parts.
func (x Installation) withParts(n quantity.RotationalSpeed, v quantity.Speed) (Point, error) {
	central, others, err := x.demands(n, v)
	p := central.widened(others)
	if err != nil {
		return p, err
	}
	p.Parts, err = central.parts(others)
	return p, err
}

// working is the point of one demand, and what it was worked out from.
type working struct {
	Point
	now                     air.State
	mouths                  mouthAir
	proposed                estimate.Estimate // loss of the duct, without pulses
	presentLow, presentHigh presentLoss
	pulse                   float64
}

// demands works the point out for its demand and, where that rests on an assumed
// efficiency, for the least and the most that it may be.
func (x Installation) demands(n quantity.RotationalSpeed, v quantity.Speed) (central working, others []working, err error) {
	p := noPoint(n, v, x.Units)
	ve, err := x.Efficiency.At(n)
	if err != nil {
		return working{Point: p}, nil, err
	}
	if p.Demand, err = x.Engine.AirDemand(n, ve); err != nil {
		return working{Point: p}, nil, err
	}
	if central, err = x.atDemand(p); err != nil || x.Efficiency.Assumed == "" {
		return central, nil, err
	}
	unsure := engine.AssumedEfficiencyUncertainty / ve
	for _, share := range []float64{1 - unsure, 1 + unsure} {
		y := p
		y.Demand = quantity.VolumeFlow(share) * p.Demand
		w, err := x.atDemand(y)
		if err != nil {
			return central, nil, err
		}
		others = append(others, w)
	}
	return central, others, nil
}

// widened returns the point with the bounds of the others taken into its own.
func (w working) widened(others []working) Point {
	p := w.Point
	for _, y := range others {
		p.widen(y.Point)
	}
	return p
}

// widen takes another point's bounds into the point's own.
func (p *Point) widen(y Point) {
	for _, e := range []struct{ to, from *estimate.Estimate }{{&p.Loss, &y.Loss}, {&p.Lost, &y.Lost}, {&p.Gained, &y.Gained}, {&p.Power, &y.Power}, {&p.PickUp.Rise, &y.PickUp.Rise}} {
		e.to.Interval.Low = min(e.to.Interval.Low, e.from.Interval.Low)
		e.to.Interval.High = max(e.to.Interval.High, e.from.Interval.High)
	}
	p.RamPart = max(p.RamPart, y.RamPart)
}

// atDemand fills the point in for its demand and road speed.
func (x Installation) atDemand(p Point) (working, error) {
	w := working{Point: p}
	var err error
	if w.now, err = x.Outside.Heated(x.PresentIntake); err != nil {
		return w, fmt.Errorf("present intake: %w", err)
	}
	if w.mouths, err = x.mouths(x.MouthRiseLow, x.MouthRise, x.MouthRiseHigh); err != nil {
		return w, err
	}
	mouth := w.mouths.typical
	present, err := x.Present.Flow(w.now, p.Demand)
	if err != nil {
		return w, fmt.Errorf("present intake: %w", err)
	}
	proposed, err := x.Duct.Flow(mouth, p.Demand)
	if err != nil {
		return w, fmt.Errorf("proposed duct: %w", err)
	}
	if w.pulse, _, err = PulsationFactor(x.Engine.Cylinders, x.Opening); err != nil {
		return w, err
	}
	if w.PickUp, err = x.Duct.PickUp(mouth, p.Demand, x.Bay); err != nil {
		return w, err
	}
	warmest, err := x.Duct.PickUp(w.mouths.warm, p.Demand, x.Bay)
	if err != nil {
		return w, err
	}
	coolest, err := x.Duct.PickUp(w.mouths.cool, p.Demand, x.Bay)
	if err != nil {
		return w, err
	}
	if w.presentLow, w.presentHigh, err = x.presentBounds(w.now, p.Demand); err != nil {
		return w, err
	}
	was, will := present.Loss, proposed.Loss
	w.proposed = will
	w.PresentLoss = quantity.Pressure(was.Value)
	w.Loss = pressureLoss(will.Value, will.Interval.Low, w.pulse*will.Interval.High)
	w.Lost = estimate.Within("pressure lost against now", will.Value-was.Value, pascal,
		will.Interval.Low-w.presentHigh.still, w.pulse*(will.Interval.High-w.presentLow.pulsing))
	ramLow, err := RamPressure(x.Outside, p.RoadSpeed, x.RamLow)
	if err != nil {
		return w, err
	}
	ramHigh, err := RamPressure(x.Outside, p.RoadSpeed, x.RamHigh)
	if err != nil {
		return w, err
	}
	w.Ram = estimate.Within("ram pressure", 0, pascal, float64(ramLow), float64(ramHigh))
	gained := w.now.Temperature.Sub(mouth.Temperature).Kelvins()
	w.Gained = estimate.Within("cooler than now", gained-w.PickUp.Rise.Value, kelvin,
		w.now.Temperature.Sub(w.mouths.warm.Temperature).Kelvins()-warmest.Rise.Interval.High,
		w.now.Temperature.Sub(w.mouths.cool.Temperature).Kelvins()-coolest.Rise.Interval.Low)
	err = x.power(&w.Point, w.now, [3]charge{
		{w.mouths.warm, warmest.Rise.Interval.High, w.pulse * w.presentLow.pulsing},
		{mouth, w.PickUp.Rise.Value, present.Loss.Value},
		{w.mouths.cool, coolest.Rise.Interval.Low, w.presentHigh.still}})
	return w, err
}

var share = quantity.KindShare.Shown()

// presentLoss is a bound of the present intake's loss in Pa that goes with the
// duct's lower bound (still) or upper bound (pulsing).
type presentLoss struct{ still, pulsing float64 }

// presentBounds returns the bounds of the present intake's loss: parts that
// the duct has too go with the duct's own bound, the rest is between its own
// bounds either way.
func (x Installation) presentBounds(now air.State, q quantity.VolumeFlow) (low, high presentLoss, err error) {
	var common, own Duct
	for _, p := range x.Present.Parts {
		if slices.Contains(x.Duct.Parts, p) {
			common.Parts = append(common.Parts, p)
		} else {
			own.Parts = append(own.Parts, p)
		}
	}
	both, err := common.Flow(now, q)
	if err != nil {
		return low, high, fmt.Errorf("present intake: %w", err)
	}
	rest, err := own.Flow(now, q)
	if err != nil {
		return low, high, fmt.Errorf("present intake: %w", err)
	}
	low = presentLoss{both.Loss.Interval.Low + rest.Loss.Interval.Low, both.Loss.Interval.High + rest.Loss.Interval.Low}
	high = presentLoss{both.Loss.Interval.Low + rest.Loss.Interval.High, both.Loss.Interval.High + rest.Loss.Interval.High}
	return low, high, nil
}

// charge is the air at the mouth, how much it warms on its way and what the
// present intake loses: the worst, the central and the best case.
type charge struct {
	mouth         air.State
	rise, present float64
}

// change returns the effect of one charge against what the engine breathes
// now, with the duct's loss and ram pressure in Pa.
func change(now air.State, c charge, loss, ram float64) (engine.Effect, error) {
	from, err := now.AtPressure(now.Pressure - quantity.Pressure(c.present))
	if err != nil {
		return engine.Effect{}, err
	}
	to, err := c.mouth.Heated(c.mouth.Temperature.Add(quantity.KelvinDifference(c.rise)))
	if err != nil {
		return engine.Effect{}, err
	}
	if to, err = to.AtPressure(to.Pressure - quantity.Pressure(loss-ram)); err != nil {
		return engine.Effect{}, err
	}
	return engine.ChangeOfPower(from, to)
}

// power fills the changes of power from the losses and temperatures of the
// worst, the central and the best case.
func (x Installation) power(p *Point, now air.State, cases [3]charge) error {
	worst, err := change(now, cases[0], p.Loss.Interval.High, p.Ram.Interval.Low)
	if err != nil {
		return fmt.Errorf("duct at %v: %w", p.EngineSpeed, err)
	}
	best, err := change(now, cases[2], p.Loss.Interval.Low, p.Ram.Interval.High)
	if err != nil {
		return fmt.Errorf("duct at %v: %w", p.EngineSpeed, err)
	}
	still, err := change(now, cases[2], p.Loss.Interval.Low, 0)
	if err != nil {
		return fmt.Errorf("duct at %v: %w", p.EngineSpeed, err)
	}
	central, err := change(now, cases[1], p.Loss.Value, 0)
	if err != nil {
		return fmt.Errorf("duct at %v: %w", p.EngineSpeed, err)
	}
	p.Power = estimate.Within("change of full-throttle power", central.Power.Value, share, worst.Power.Interval.Low, best.Power.Interval.High)
	p.RamPart = best.Power.Interval.High - still.Power.Interval.High
	if p.Extrapolated = worst.Extrapolated || best.Extrapolated; p.Extrapolated {
		p.Power = p.Power.Warn(extrapolation(worst, central, best))
	}
	return nil
}

// extrapolation says beyond which limits the standards are used, each once.
func extrapolation(effects ...engine.Effect) estimate.Warning {
	var limits []string
	for _, e := range effects {
		for _, s := range e.Estimates {
			for _, limit := range s.Outside {
				if text := fmt.Sprintf("%v: %s", s.Standard, limit); !slices.Contains(limits, text) {
					limits = append(limits, text)
				}
			}
		}
	}
	return estimate.Warning{Kind: estimate.OutsideRange, Subject: "power", Text: "a standard is used outside its window: " + strings.Join(limits, "; ")}
}

// ReadIn returns the units in which the point is read.
func (p Point) ReadIn() quantity.Preferred { return p.Units }

// String returns one line: degrees gained, pressure lost, percent of power.
func (p Point) String() string {
	lost := p.Units.Pressure
	if lost == (quantity.Unit{}) {
		lost = quantity.KindPressure.Unit("kPa")
	}
	cooler := p.Units.Of(quantity.KindTemperatureDifference)
	speed, _ := p.Units.Text(p.RoadSpeed)
	s := fmt.Sprintf("%v, %s: %.1f %s cooler (%.1f to %.1f), %.2f %s lost (%.2f to %.2f), ram %.2f to %.2f %s, full-throttle power %+.1f %% (%+.1f to %+.1f; of it ram at most %.1f)",
		p.EngineSpeed, speed, cooler.FromSI(p.Gained.Value), cooler.Symbol(), cooler.FromSI(p.Gained.Interval.Low), cooler.FromSI(p.Gained.Interval.High),
		lost.FromSI(p.Lost.Value), lost.Symbol(), lost.FromSI(p.Lost.Interval.Low), lost.FromSI(p.Lost.Interval.High),
		lost.FromSI(p.Ram.Interval.Low), lost.FromSI(p.Ram.Interval.High), lost.Symbol(), 100*p.Power.Value, 100*p.Power.Interval.Low, 100*p.Power.Interval.High, 100*p.RamPart)
	if p.Extrapolated {
		s += " (extrapolated: a standard is used outside its window)"
	}
	return s
}
