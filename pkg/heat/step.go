package heat

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// stepPriors are those of block, exhaust, way, fixed and radiator, see shape:
// what a shape calls the source is apart in exhaust, which heats the bay from
// the start, and radiator, which does so when the thermostat is open.
var stepPriors = []prior{{0.22, 0.2}, {0.15, 0.12}, {0.12, 0.12}, {0.06, 0.15}, {0.45, 0.3}}

// Places among them.
const stepFixed, stepRadiator = 3, 4

// beforeBlocks is how far back before the opening blocks are used, in seconds.
const beforeBlocks = 480.0

// arrival is how fast the radiator's heat arrives in the bay after the opening,
// in seconds.
const arrival = 60.0

// stepMisfit is misfit for the step; stepError is what the shapes have wrong in
// common, as a share of the radiator's part. Both are judgement, checked on two
// simulators of different authors.
const stepMisfit, stepError = 1.4, 0.1

// stepShapes are those for the step at the opening: the way counts for little
// there, the exhaust's metal, which goes on warming up for minutes, for more.
func stepShapes() (all []shape) {
	for _, s := range shapes() {
		if s.exponent != 0.6 {
			continue
		}
		for _, s.exhaust = range []float64{120, 400, 900} {
			all = append(all, s)
		}
	}
	return all
}

// radiatorStep finds what the radiator added to the rise of settled driving.
// The same model of speed and load holds before and after the opening, so that
// another speed or hill after it does not count as the radiator's heat; before
// it the block is still warming up. probes is the standard uncertainty of the rise,
// K, that all half-minutes have alike: part of what is fixed, and not to be taken
// for the radiator's.
func radiatorStep(s subject, blocks, after []block, opening thermostat.Result, l load, probes float64) Estimate {
	if len(after) < 3 {
		return s.unknown(kelvin, "fewer than three half-minutes of settled driving")
	}
	before := pick(blocks, func(b block) bool {
		return b.onset < 0 && b.onset > -beforeBlocks && b.kind != segment.Stopped && b.kind != segment.StopAndGo
	})
	if len(before) < 2 {
		return s.unknown(kelvin, "the car hardly drove in the eight minutes before the opening")
	}
	all := append(before, pick(blocks, func(b block) bool {
		return b.onset > 0 && !b.soaking && b.kind != segment.Stopped && b.kind != segment.StopAndGo
	})...)
	rise := rises(all)
	reference := mean(column(after, func(b block) float64 { return b.speed }))
	flow := steadyAirflow(reference, 0)
	loads := func(blocks []block) (heat, metal *laggedLoads) {
		return &laggedLoads{load: l, blocks: blocks, flow: flow}, &laggedLoads{load: l, blocks: blocks, flow: flow, cold: true}
	}
	begin := all[0].span.From - l.from
	terms := func(blocks []block, heat, metal *laggedLoads, sh shape) [][]float64 {
		hotter, exhaust := heat.of(sh.power, sh.lag), metal.of(1, sh.exhaust)
		x := make([][]float64, len(blocks))
		for k, b := range blocks {
			// The block warms up about evenly until the valve opens.
			warm := math.Min(1, 0.3+0.7*(b.span.From-l.from)/math.Max(begin, opening.Onset-l.from))
			t := sh.terms(state{b.speed, l.over(l.flow, b.span) / flow, hotter[k]}, reference)
			hot := -math.Expm1(-math.Max(0, b.onset) / arrival)
			x[k] = []float64{t[0] * warm, sh.thinned(b.speed, reference) * exhaust[k], t[2] * warm, t[3], t[1] * hot}
		}
		return x
	}
	heat, metal := loads(all)
	scale := math.Max(1, mean(rises(after)))
	priors := slices.Clone(stepPriors)
	priors[stepFixed].deviation = math.Hypot(priors[stepFixed].deviation, probes/scale)
	fitted := fitAll(rise, stepShapes(), func(sh shape) [][]float64 { return terms(all, heat, metal, sh) }, priors, scale, stepMisfit)
	if fitted == nil {
		return s.unknown(kelvin, "speed or load is not known around the opening")
	}
	heat, metal = loads(after)
	value, square := 0.0, 0.0
	for _, f := range fitted {
		x := terms(after, heat, metal, f.shape)
		radiator := make([]float64, len(stepPriors))
		for _, t := range x {
			radiator[stepRadiator] += t[stepRadiator] / float64(len(x))
		}
		v := f.at(radiator)
		value += f.weight * v
		square += f.weight * (v*v + f.variance(radiator))
	}
	u := math.Hypot(math.Sqrt(square-value*value), stepError*value)
	e, err := estimate.New(s.name, value, kelvin, level, estimate.WithinDrive, estimate.Contribution{Source: s.source(estimate.ModelSpread), Effect: u})
	if err != nil {
		return s.unknown(kelvin, "%v", err)
	}
	e.Count = len(all)
	return e
}
