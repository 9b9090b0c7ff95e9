package heat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// splitRise compares the driving just before the opening with settled driving
// after it, at the same speed.
func (a *Analysis) splitRise(d *drive.Drive, blocks []block, opening thermostat.Result) {
	atOpening, settled, added := a.of(nameBefore), a.of(nameAfter), a.of(nameRadiator)
	after := settledBlocks(blocks)
	a.RiseAfter = settled.unknown(kelvin, "fewer than three half-minutes of driving with the thermostat known to be open")
	if len(after) >= 3 {
		a.RiseAfter = typicalRise(settled, after)
	}
	if opening.Outcome != thermostat.Opened {
		reason := "the thermostat's opening is not in this drive (" + opening.Outcome.String() + ")"
		a.RiseBefore, a.FromRadiator = atOpening.unknown(kelvin, "%s", reason), added.unknown(kelvin, "%s", reason)
		return
	}
	// The last minutes before: block and exhaust are nearly as hot as they get.
	before := pick(blocks, func(b block) bool {
		return b.onset < 0 && b.onset > -240 && b.kind != segment.Stopped
	})
	if len(before) < 2 {
		reason := "the car hardly moved in the four minutes before the opening"
		a.RiseBefore, a.FromRadiator = atOpening.unknown(kelvin, "%s", reason), added.unknown(kelvin, "%s", reason)
		return
	}
	a.RiseBefore = riseAtOpening(atOpening, before)
	if len(after) < 3 {
		a.FromRadiator = added.unknown(kelvin, "fewer than three half-minutes of settled driving")
		return
	}
	a.FromRadiator = radiatorStep(added, before, after)
}

// typicalRise is the rise at the mean draught of the blocks: what speed
// explains does not count as uncertainty.
func typicalRise(s subject, blocks []block) Estimate {
	g := draughts(blocks)
	r, ok := regress(rises(blocks), constant(len(blocks)), g)
	x := []float64{1, mean(g)}
	if !ok {
		if r, ok = regress(rises(blocks), constant(len(blocks))); !ok {
			return s.unknown(kelvin, "fewer than three half-minutes of settled driving")
		}
		x = x[:1]
	}
	return s.fitted(r, kelvin, x, len(blocks))
}

// riseAtOpening extends the straight course of the last blocks to the opening.
// The interval is at least a third of the course's own change, since it need
// not have stayed straight.
func riseAtOpening(s subject, blocks []block) Estimate {
	x := rises(blocks)
	last := x[len(x)-1]
	allowed := math.Abs(last-x[0])/3 + 0.3
	at := column(blocks, func(b block) float64 { return b.onset })
	if r, ok := regress(x, constant(len(x)), at); ok {
		if e := s.fitted(r, kelvin, []float64{1, 0}, len(blocks)); e.Interval.Width()/2 > allowed {
			return e
		}
		last = r.Coefficients[0]
	}
	e := s.within(last, allowed, kelvin, 0, len(blocks))
	e.Contributions[0].Source = s.source(estimate.ModelSpread)
	return e
}

// radiatorStep regresses the rise on draught and on whether the radiator is
// hot, so that different speeds before and after do not count as heat. Only
// blocks within the speeds that occurred before are used, where there are any.
func radiatorStep(s subject, before, after []block) Estimate {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, b := range before {
		lo, hi = math.Min(lo, b.speed), math.Max(hi, b.speed)
	}
	margin := (15 * quantity.KilometrePerHour).MetresPerSecond()
	like := pick(after, func(b block) bool { return b.speed > lo-margin && b.speed < hi+margin })
	if len(like) < 3 {
		return s.unknown(kelvin, "settled driving was at other speeds (%v to %v before the opening)", speedOf(lo), speedOf(hi))
	}
	all := append(append([]block{}, before...), like...)
	step := column(all, func(b block) float64 {
		if b.onset < 0 {
			return 0
		}
		return 1
	})
	// Before the opening the rise still grows with the engine: the step counts
	// from where that growth has come to.
	growth := column(all, func(b block) float64 { return math.Min(0, b.onset) })
	r, ok := regress(rises(all), constant(len(all)), growth, step, draughts(all))
	if !ok || deviation(draughts(all)) < 0.01 {
		if r, ok = regress(rises(all), constant(len(all)), growth, step); !ok {
			return s.unknown(kelvin, "too few half-minutes before and after the opening")
		}
	}
	x := make([]float64, len(r.Coefficients))
	x[2] = 1
	e := s.fitted(r, kelvin, x, len(all))
	// It may go on growing a little after the opening: that much is unknown.
	drift := math.Abs(before[len(before)-1].rise-before[0].rise) / 3
	return s.widened(e, drift)
}

// widened adds to either side of the interval what a model does not know.
func (s subject) widened(e Estimate, by float64) Estimate {
	whole := (e.Interval.Width()/2 + by) / studentQuantile(e.DegreesOfFreedom)
	part := math.Sqrt(math.Max(0, whole*whole-e.StandardUncertainty()*e.StandardUncertainty()))
	e.Interval.Low, e.Interval.High = e.Interval.Low-by, e.Interval.High+by
	e.Contributions = append(e.Contributions, estimate.Contribution{Source: s.source(estimate.ModelSpread), Effect: part})
	return e
}

// settledBlocks are those that stand for settled driving.
func settledBlocks(blocks []block) []block {
	after := pick(blocks, func(b block) bool { return b.settled && b.kind != segment.Stopped })
	if len(after) < 3 {
		after = pick(blocks, driving)
	}
	return after
}
