package heat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
)

// radiator estimates what the radiator's air does to the intake.
func (a *Analysis) radiator(d *drive.Drive, blocks []block) {
	const share, mixing, effect = "radiator's share of coolant above ambient", "mixing fraction of radiator air", "radiator effectiveness"
	a.RadiatorShare = a.radiatorShare(share, d, blocks)
	a.MixingFraction, a.Effectiveness = no(mixing, "1", "no channel for the air behind the radiator (%s)", drive.RadiatorAir), no(effect, "1", "no channel for the air behind the radiator (%s)", drive.RadiatorAir)
	if !d.Has(drive.RadiatorAir) {
		return
	}
	hot := pick(blocks, func(b block) bool {
		return b.known && b.open && !b.soaking && b.kind != segment.Stopped && !(b.onset < 120) && !math.IsNaN(b.outlet)
	})
	a.MixingFraction = mixingFraction(mixing, hot)
	if !d.Has(drive.TopTank) {
		a.Effectiveness = no(effect, "1", "no top tank temperature")
		return
	}
	hot = pick(hot, func(b block) bool { return b.top > 20 })
	if len(hot) < 3 {
		a.Effectiveness = no(effect, "1", "fewer than three half-minutes with a hot top tank and air behind it")
		return
	}
	ratio := column(hot, func(b block) float64 { return b.outlet / b.top })
	if r, ok := regress(ratio, constant(len(ratio))); ok {
		a.Effectiveness = estimate(r, effect, "1", []float64{1}, len(hot))
		if a.Effectiveness.Low < 0 || a.Effectiveness.High > 1 {
			a.Warnings = append(a.Warnings, "the radiator's effectiveness reaches outside 0 to 1: is the probe behind the radiator in its air?")
		}
	}
}

func (a *Analysis) radiatorShare(name string, d *drive.Drive, blocks []block) Estimate {
	if !a.FromRadiator.Identifiable {
		return no(name, "1", "the radiator's part of the rise is not known: %s", a.FromRadiator.Reason)
	}
	hot := pick(blocks, func(b block) bool { return b.settled && b.top > 20 })
	if len(hot) < 3 {
		return no(name, "1", "no top tank temperature in settled driving")
	}
	t := mean(column(hot, func(b block) float64 { return b.top }))
	return Estimate{Name: name, Unit: "1", Value: a.FromRadiator.Value / t, Low: a.FromRadiator.Low / t, High: a.FromRadiator.High / t,
		Identifiable: true, Count: a.FromRadiator.Count}
}

// mixingFraction is how much the intake follows the air behind the radiator:
// the slope of one rise on the other. A part that does not vary with the
// radiator stays in the constant.
func mixingFraction(name string, hot []block) Estimate {
	if len(hot) < 6 {
		return no(name, "1", "fewer than six half-minutes of driving with the thermostat open")
	}
	outlet := column(hot, func(b block) float64 { return b.outlet })
	if deviation(outlet) < 2 {
		return no(name, "1", "the air behind the radiator hardly varied (%.1f K), so what follows it can't be seen", deviation(outlet))
	}
	r, ok := regress(rises(hot), constant(len(hot)), outlet, draughts(hot))
	x := []float64{0, 1, 0}
	if !ok {
		if r, ok = regress(rises(hot), constant(len(hot)), outlet); !ok {
			return no(name, "1", "speed and radiator air varied together")
		}
		x = []float64{0, 1}
	}
	e := estimate(r, name, "1", x, len(hot))
	if e.High-e.Low > 1 {
		return no(name, "1", "the interval %.2f to %.2f says nothing", e.Low, e.High)
	}
	return e
}
