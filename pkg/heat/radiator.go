package heat

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
)

// radiator estimates what the radiator's air does to the intake.
func (a *Analysis) radiator(d *drive.Drive, blocks []block) {
	mixing, effect := a.of(nameMixing), a.of(nameEffectiveness)
	a.RadiatorShare = a.radiatorShare(blocks)
	a.MixingFraction = mixing.unknown(share, "no channel for the air behind the radiator (%s)", drive.RadiatorAir)
	a.Effectiveness = effect.unknown(share, "no channel for the air behind the radiator (%s)", drive.RadiatorAir)
	if !d.Has(drive.RadiatorAir) {
		return
	}
	hot := pick(blocks, func(b block) bool {
		return b.known && b.open && !b.soaking && b.kind != segment.Stopped && !(b.onset < 120) && !math.IsNaN(b.outlet)
	})
	a.MixingFraction = mixingFraction(mixing, hot)
	if !d.Has(drive.TopTank) {
		a.Effectiveness = effect.unknown(share, "no top tank temperature")
		return
	}
	hot = pick(hot, func(b block) bool { return b.top > 20 })
	if len(hot) < 3 {
		a.Effectiveness = effect.unknown(share, "fewer than three half-minutes with a hot top tank and air behind it")
		return
	}
	ratio := column(hot, func(b block) float64 { return b.outlet / b.top })
	if r, ok := regress(ratio, constant(len(ratio))); ok {
		a.Effectiveness = effect.fitted(r, share, []float64{1}, len(hot))
		if a.Effectiveness.Interval.Low < 0 || a.Effectiveness.Interval.High > 1 {
			a.warn(Implausible, "the radiator's effectiveness reaches outside 0 to 1: is the probe behind the radiator in its air?")
		}
	}
}

func (a *Analysis) radiatorShare(blocks []block) Estimate {
	s := a.of(nameShare)
	if !a.FromRadiator.Known() {
		return s.unknown(share, "the radiator's part of the rise is not known: %s", a.FromRadiator.Missing)
	}
	hot := pick(settledBlocks(blocks), func(b block) bool { return b.top > 20 })
	if len(hot) < 3 {
		return s.unknown(share, "no top tank temperature in settled driving")
	}
	return divided(s, a.FromRadiator, mean(column(hot, func(b block) float64 { return b.top })))
}

// divided is the share of an estimate in a whole that is known far better.
func divided(s subject, e Estimate, whole float64) Estimate {
	e.Name, e.Unit, e.Value = s.name, share, e.Value/whole
	e.Interval.Low, e.Interval.High = e.Interval.Low/whole, e.Interval.High/whole
	e.Contributions = slices.Clone(e.Contributions)
	for i := range e.Contributions {
		e.Contributions[i].Effect /= whole
	}
	return e
}

// mixingFraction is how much the intake follows the air behind the radiator:
// the slope of one rise on the other. A part that does not vary with the
// radiator stays in the constant.
func mixingFraction(s subject, hot []block) Estimate {
	if len(hot) < 6 {
		return s.unknown(share, "fewer than six half-minutes of driving with the thermostat open")
	}
	outlet := column(hot, func(b block) float64 { return b.outlet })
	if deviation(outlet) < 2 {
		return s.unknown(share, "the air behind the radiator hardly varied (%s), so what follows it can't be seen", s.units.Say(quantity.KindTemperatureDifference, "%.1f", deviation(outlet)))
	}
	r, ok := regress(rises(hot), constant(len(hot)), outlet, draughts(hot))
	x := []float64{0, 1, 0}
	if !ok {
		if r, ok = regress(rises(hot), constant(len(hot)), outlet); !ok {
			return s.unknown(share, "speed and radiator air varied together")
		}
		x = []float64{0, 1}
	}
	e := s.fitted(r, share, x, len(hot))
	if e.Interval.Width() > 1 {
		return s.unknown(share, "the interval %.2f to %.2f says nothing", e.Interval.Low, e.Interval.High)
	}
	return e
}
