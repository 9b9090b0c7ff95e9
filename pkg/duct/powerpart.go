package duct

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// PowerPart is one thing that is not known, and how far it alone moves the
// change of power from its central value.
type PowerPart struct {
	What      string
	Low, High Share
}

// String returns the span and what causes it.
func (p PowerPart) String() string { return fmt.Sprintf("%v to %v %s", p.Low, p.High, p.What) }

// parts moves one thing at a time to its bounds. unsure is the relative
// uncertainty of the demand.
func (x Installation) parts(p Point, unsure float64) ([]PowerPart, error) {
	now, err := x.Outside.Heated(x.PresentIntake)
	if err != nil {
		return nil, err
	}
	mouths, err := x.mouths(x.MouthRiseLow, x.MouthRise, x.MouthRiseHigh)
	if err != nil {
		return nil, err
	}
	proposed, err := x.Duct.Flow(mouths.typical, p.Demand)
	if err != nil {
		return nil, err
	}
	presentLow, presentHigh, err := x.presentBounds(now, p.Demand)
	if err != nil {
		return nil, err
	}
	pulse, _, err := PulsationFactor(x.Engine.Cylinders, x.Opening)
	if err != nil {
		return nil, err
	}
	base := charge{mouths.typical, p.PickUp.Rise.Value, float64(p.PresentLoss)}
	loss := proposed.Loss.Value
	var all []PowerPart
	add := func(what string, power ...float64) {
		power = append(power, p.Power.Value)
		part := PowerPart{what, Share(slices.Min(power) - p.Power.Value), Share(slices.Max(power) - p.Power.Value)}
		if part.High-part.Low > 1e-9 {
			all = append(all, part)
		}
	}
	// both adds what two charges do with their losses and ram pressures.
	both := func(what string, a, b charge, lossA, lossB, ramA, ramB float64) error {
		one, err := change(now, a, lossA, ramA)
		if err != nil {
			return err
		}
		other, err := change(now, b, lossB, ramB)
		if err != nil {
			return err
		}
		add(what, one.Power.Value, other.Power.Value)
		return nil
	}
	central, err := change(now, base, loss, 0)
	if err != nil {
		return nil, err
	}
	add("the standards differ", central.Power.Interval.Low, central.Power.Interval.High)
	with := func(change func(c *charge)) charge {
		c := base
		change(&c)
		return c
	}
	own := float64(p.PresentLoss) - (presentLow.still+presentHigh.still)/2
	for _, err := range []error{
		both("air at the mouth", with(func(c *charge) { c.mouth = mouths.cool }), with(func(c *charge) { c.mouth = mouths.warm }), loss, loss, 0, 0),
		both("heat on the way", with(func(c *charge) { c.rise = p.PickUp.Rise.Interval.Low }), with(func(c *charge) { c.rise = p.PickUp.Rise.Interval.High }), loss, loss, 0, 0),
		both("friction and fittings", base, base, proposed.Loss.Interval.Low, proposed.Loss.Interval.High, 0, 0),
		both("present intake", with(func(c *charge) { c.present = presentLow.still + own }), with(func(c *charge) { c.present = presentHigh.still + own }), loss, loss, 0, 0),
		both("pulses of the cylinders", base, with(func(c *charge) { c.present *= pulse }), loss, pulse*loss, 0, 0),
		both("ram pressure", base, base, loss, loss, p.Ram.Interval.Low, p.Ram.Interval.High),
	} {
		if err != nil {
			return nil, err
		}
	}
	if unsure > 0 {
		var power []float64
		for _, share := range []float64{1 - unsure, 1 + unsure} {
			y := p
			y.Demand = quantity.VolumeFlow(share) * p.Demand
			if y, err = x.atDemand(y, p.RoadSpeed); err != nil {
				return nil, err
			}
			power = append(power, y.Power.Value)
		}
		add("volumetric efficiency", power...)
	}
	slices.SortStableFunc(all, func(a, b PowerPart) int { return cmp.Compare(b.High-b.Low, a.High-a.Low) })
	return all, nil
}
