package heat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// splitRise states the rise at the opening, that in settled driving after it,
// and what the radiator added in between.
func (a *Analysis) splitRise(d *drive.Drive, blocks []block, opening thermostat.Result, l load) {
	atOpening, settled, added, rest := a.of(nameBefore), a.of(nameAfter), a.of(nameRadiator), a.of(nameRest)
	after := settledBlocks(blocks)
	a.RiseAfter = settled.unknown(kelvin, "fewer than three half-minutes of driving with the engine known to be warm")
	if len(after) >= 3 {
		a.RiseAfter = settled.read(mean(rises(after)), meanError, d, len(after))
	}
	if opening.Outcome != thermostat.Opened {
		reason := "the thermostat's opening is not in this drive (" + opening.Outcome.String() + ")"
		a.RiseBefore, a.FromRadiator, a.Rest = atOpening.unknown(kelvin, "%s", reason), added.unknown(kelvin, "%s", reason), rest.unknown(kelvin, "%s", reason)
		return
	}
	a.RiseBefore = riseAtOpening(atOpening, d, opening)
	a.FromRadiator = radiatorStep(added, blocks, after, opening, l, together(probeErrors(d)))
	var err error
	a.Rest, err = estimate.Sum(nameRest, kelvin, level, estimate.Term{Coefficient: 1, Estimate: a.RiseAfter},
		estimate.Term{Coefficient: -1, Estimate: a.RiseBefore}, estimate.Term{Coefficient: -1, Estimate: a.FromRadiator})
	if err != nil {
		a.Rest = rest.unknown(kelvin, "%v", err)
	}
}

// together is the standard uncertainty that independent contributions make.
func together(parts []estimate.Contribution) float64 {
	square := 0.0
	for _, c := range parts {
		square += c.Effect * c.Effect
	}
	return math.Sqrt(square)
}

// meanError is what a mean over many readings has by lag, steps and gaps, in K.
const meanError = 0.15

// read is a mean of readings of the rise: its error is that of the two probes,
// and by how much it could have been missed.
func (s subject) read(value, missed float64, d *drive.Drive, count int) Estimate {
	parts := append(probeErrors(d), estimate.Contribution{Source: s.source(estimate.Scatter), Effect: missed})
	e, err := estimate.New(s.name, value, kelvin, level, estimate.WithinDrive, parts...)
	if err != nil {
		return s.unknown(kelvin, "%v", err)
	}
	e.Count = count
	return e
}

// beforeTime is the time before the opening over which the rise is read, in
// seconds; probes lag some of it behind.
const beforeTime = 20.0

// riseAtOpening reads the rise in the last seconds before the opening, and how
// much it would be off if that was at either end of its interval.
func riseAtOpening(s subject, d *drive.Drive, opening thermostat.Result) Estimate {
	rise, err := d.Rise(drive.Intake)
	if err != nil {
		return s.unknown(kelvin, "%v", err)
	}
	const lag = 5
	at := func(t float64) float64 {
		return rise.Mean(series.Interval{From: t - beforeTime + lag, To: t + lag}, drive.MaxGap)
	}
	v, low, high := at(opening.Onset), at(opening.Interval95.From), at(opening.Interval95.To)
	if math.IsNaN(v) {
		return s.unknown(kelvin, "the intake was not recorded just before the opening")
	}
	off := 0.0
	for _, x := range []float64{low, high} {
		if !math.IsNaN(x) {
			off = math.Max(off, math.Abs(x-v))
		}
	}
	return s.read(v, math.Hypot(openingError, off/normal), d, rise.Slice(series.Interval{From: opening.Onset - beforeTime + lag, To: opening.Onset + lag}).Present())
}

// openingError is what lag and steps do to a mean over so short a time, in K.
const openingError = 0.4

// settledBlocks are those that stand for settled driving: on the open road
// where there is some.
func settledBlocks(blocks []block) []block {
	after := pick(blocks, func(b block) bool { return b.settled && b.kind != segment.Stopped && b.kind != segment.StopAndGo })
	if len(after) >= leastBlocks {
		return after
	}
	after = pick(blocks, func(b block) bool { return b.settled && b.kind != segment.Stopped })
	if len(after) < 3 {
		after = pick(blocks, driving)
	}
	return after
}
