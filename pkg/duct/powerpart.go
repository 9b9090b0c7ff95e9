package duct

import (
	"cmp"
	"fmt"
	"slices"
)

// PowerPart is one thing that is not known, and how far it alone moves the
// change of power from its central value.
type PowerPart struct {
	What      string
	Low, High Share
}

// String returns the span and what causes it.
func (p PowerPart) String() string { return fmt.Sprintf("%v to %v %s", p.Low, p.High, p.What) }

// parts moves one thing at a time to its bounds. others are the points of the
// least and the most demand.
func (w working) parts(others []working) ([]PowerPart, error) {
	base := charge{w.mouths.typical, w.PickUp.Rise.Value, float64(w.PresentLoss)}
	loss := w.proposed.Value
	var all []PowerPart
	add := func(what string, power ...float64) {
		power = append(power, w.Power.Value)
		part := PowerPart{what, Share(slices.Min(power) - w.Power.Value), Share(slices.Max(power) - w.Power.Value)}
		if part.High-part.Low > 1e-9 {
			all = append(all, part)
		}
	}
	// both adds what two charges do with their losses and ram pressures.
	both := func(what string, a, b charge, lossA, lossB, ramA, ramB float64) error {
		one, err := change(w.now, a, lossA, ramA)
		if err != nil {
			return err
		}
		other, err := change(w.now, b, lossB, ramB)
		if err != nil {
			return err
		}
		add(what, one.Power.Value, other.Power.Value)
		return nil
	}
	central, err := change(w.now, base, loss, 0)
	if err != nil {
		return nil, err
	}
	add("the standards differ", central.Power.Interval.Low, central.Power.Interval.High)
	with := func(change func(c *charge)) charge {
		c := base
		change(&c)
		return c
	}
	own := float64(w.PresentLoss) - (w.presentLow.still+w.presentHigh.still)/2
	for _, err := range []error{
		both("air at the mouth", with(func(c *charge) { c.mouth = w.mouths.cool }), with(func(c *charge) { c.mouth = w.mouths.warm }), loss, loss, 0, 0),
		both("heat on the way", with(func(c *charge) { c.rise = w.PickUp.Rise.Interval.Low }), with(func(c *charge) { c.rise = w.PickUp.Rise.Interval.High }), loss, loss, 0, 0),
		both("friction and fittings", base, base, w.proposed.Interval.Low, w.proposed.Interval.High, 0, 0),
		both("present intake", with(func(c *charge) { c.present = w.presentLow.still + own }), with(func(c *charge) { c.present = w.presentHigh.still + own }), loss, loss, 0, 0),
		both("pulses of the cylinders", base, with(func(c *charge) { c.present *= w.pulse }), loss, w.pulse*loss, 0, 0),
		both("ram pressure", base, base, loss, loss, w.Ram.Interval.Low, w.Ram.Interval.High),
	} {
		if err != nil {
			return nil, err
		}
	}
	if len(others) > 0 {
		var power []float64
		for _, y := range others {
			power = append(power, y.Power.Value)
		}
		add("volumetric efficiency", power...)
	}
	slices.SortStableFunc(all, func(a, b PowerPart) int { return cmp.Compare(b.High-b.Low, a.High-a.Low) })
	return all, nil
}
