package heat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

const (
	nameBefore   = "rise at the opening"
	nameAfter    = "rise in settled driving"
	nameRadiator = "rise that the radiator adds"
)

// splitRise compares the driving just before the opening with settled driving
// after it, at the same speed.
func (a *Analysis) splitRise(d *drive.Drive, blocks []block, opening thermostat.Result) {
	after := pick(blocks, func(b block) bool { return b.settled && b.kind != segment.Stopped })
	if len(after) < 3 {
		after = pick(blocks, func(b block) bool {
			return b.known && b.open && !b.soaking && b.kind != segment.Stopped && !(b.onset < 120)
		})
	}
	a.RiseAfter = no(nameAfter, "K", "fewer than three half-minutes of driving with the thermostat known to be open")
	if len(after) >= 3 {
		a.RiseAfter = typicalRise(after)
	}
	if opening.Outcome != thermostat.Opened {
		reason := "the thermostat's opening is not in this drive (" + opening.Outcome.String() + ")"
		a.RiseBefore, a.FromRadiator = no(nameBefore, "K", "%s", reason), no(nameRadiator, "K", "%s", reason)
		return
	}
	// The last minutes before: block and exhaust are nearly as hot as they get.
	before := pick(blocks, func(b block) bool {
		return b.onset < 0 && b.onset > -240 && b.kind != segment.Stopped
	})
	if len(before) < 2 {
		reason := "the car hardly moved in the four minutes before the opening"
		a.RiseBefore, a.FromRadiator = no(nameBefore, "K", "%s", reason), no(nameRadiator, "K", "%s", reason)
		return
	}
	a.RiseBefore = riseAtOpening(before)
	if len(after) < 3 {
		a.FromRadiator = no(nameRadiator, "K", "fewer than three half-minutes of settled driving")
		return
	}
	a.FromRadiator = radiatorStep(before, after)
}

// typicalRise is the rise at the mean draught of the blocks: what speed
// explains does not count as uncertainty.
func typicalRise(blocks []block) Estimate {
	g := draughts(blocks)
	r, ok := regress(rises(blocks), constant(len(blocks)), g)
	x := []float64{1, mean(g)}
	if !ok {
		if r, ok = regress(rises(blocks), constant(len(blocks))); !ok {
			return no(nameAfter, "K", "fewer than three half-minutes of settled driving")
		}
		x = x[:1]
	}
	return estimate(r, nameAfter, "K", x, len(blocks))
}

// riseAtOpening extends the straight course of the last blocks to the opening.
// The interval is at least a third of the course's own change, since it need
// not have stayed straight.
func riseAtOpening(blocks []block) Estimate {
	x := rises(blocks)
	last := x[len(x)-1]
	half := math.Abs(last-x[0])/3 + 0.3
	value := last
	at := column(blocks, func(b block) float64 { return b.onset })
	if r, ok := regress(x, constant(len(x)), at); ok {
		_, high := r.Interval([]float64{1, 0}, 0.95)
		value = r.Coefficients[0]
		half = math.Max(half, high-value)
	}
	return Estimate{Name: nameBefore, Unit: "K", Value: value, Low: value - half, High: value + half, Identifiable: true, Count: len(blocks)}
}

// radiatorStep regresses the rise on draught and on whether the radiator is
// hot, so that different speeds before and after do not count as heat. Only
// blocks within the speeds that occurred before are used, where there are any.
func radiatorStep(before, after []block) Estimate {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, b := range before {
		lo, hi = math.Min(lo, b.speed), math.Max(hi, b.speed)
	}
	margin := float64(15 * quantity.KilometrePerHour)
	like := pick(after, func(b block) bool { return b.speed > lo-margin && b.speed < hi+margin })
	if len(like) < 3 {
		return no(nameRadiator, "K", "settled driving was at other speeds (%.0f to %.0f km/h before the opening)", quantity.Speed(lo).KilometresPerHour(), quantity.Speed(hi).KilometresPerHour())
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
			return no(nameRadiator, "K", "too few half-minutes before and after the opening")
		}
	}
	x := make([]float64, len(r.Coefficients))
	x[2] = 1
	e := estimate(r, nameRadiator, "K", x, len(all))
	// It may go on growing a little after the opening: that much is unknown.
	drift := math.Abs(before[len(before)-1].rise-before[0].rise) / 3
	e.Low, e.High = e.Low-drift, e.High+drift
	return e
}
