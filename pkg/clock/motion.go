package clock

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// answerDelay is the standard uncertainty in seconds of what lies between the
// bank's models and a real bay: transport of air, mixing, a phone's smoothing.
// On real drives with one clock the estimates lie up to 6 s off; another author's
// simulation has 1.8 ± 2.5 s (TestClocksOfFolders of package campaign, seeds 440000 on).
const answerDelay = 3.5

// answerEvidence is the least evidence for an answer to motion. It is higher
// than for a shared quantity because a bank of models, none quite true, finds
// some relation in any two slow signals.
const answerEvidence = 8.0

// FromMotion estimates the offset between a recording of road speed and one of
// air temperatures: added to the temperatures' times it brings them onto the
// speed's clock. Stops warm the air under a bonnet and motion cools it, with a
// delay that is not known; the interval is honestly wide, tens of seconds
// rather than one. Each temperature is tried alone; together they count for
// more the less their noise is shared.
//
// The error wraps [ErrUndecided] where the data do not tell or one series has
// fewer than 30 values, [ErrNoOverlap] where no offset leaves enough common
// time. It also fails where speed is no speed, or none or something else than
// temperatures are given.
func FromMotion(speed *series.Series, temperatures []*series.Series, opts Options) (Result, error) {
	failed := Result{Method: MotionResponse, Offset: math.NaN()}
	if speed.Dimension != series.Speed {
		return failed, fmt.Errorf("clock.FromMotion: %q is a %v, not a speed", speed.Name, speed.Dimension)
	}
	if len(temperatures) == 0 {
		return failed, fmt.Errorf("clock.FromMotion: no temperature is given")
	}
	var all []*witness
	var problem error
	for _, t := range temperatures {
		if t.Dimension != series.Temperature {
			return failed, fmt.Errorf("clock.FromMotion: %q is a %v, not a temperature", t.Name, t.Dimension)
		}
		e, err := motionEvidence(speed, t, opts)
		if err != nil {
			problem = err
			continue
		}
		all = append(all, newWitness(e, t.Start))
	}
	if len(all) == 0 {
		return failed, problem
	}
	opts.Delay = math.Max(opts.Delay, answerDelay)
	opts.MinEvidence = math.Max(opts.MinEvidence, answerEvidence)
	first, length := all[0], 0.0
	for _, w := range all {
		if w.top > first.top {
			first = w
		}
		length = math.Max(length, w.length)
	}
	offset, logL := together(all)
	r, err := weigh(offset, logL, length, opts, Result{Method: MotionResponse, Origin: temperatures[0].Start})
	if err != nil {
		return r, err
	}
	lags := make([]float64, len(offset))
	for i, x := range offset {
		lags[i] = -x - first.between
	}
	return r.rivals(first.best, first.noise, lags, logL, -1, -first.between).judged(opts)
}

func motionEvidence(speed, temperature *series.Series, opts Options) (*evidence, error) {
	if speed.Present() < 30 || temperature.Present() < 30 {
		return nil, fmt.Errorf("%w: fewer than 30 values in %q or %q", ErrUndecided, speed.Name, temperature.Name)
	}
	between := temperature.Start.Sub(speed.Start).Seconds()
	local := opts
	if !opts.Search.IsEmpty() {
		local.Search = series.Interval{From: opts.Search.From + between, To: opts.Search.To + between}
	}
	span, err := searchRange(temperature.Interval(), speed.Interval(), local, true)
	if err != nil {
		return nil, err
	}
	dt := math.Max(motionStep, temperature.Step())
	dt = math.Max(dt, math.Max(speed.Interval().Duration(), temperature.Interval().Duration())/maxSteps)
	y := withoutTrend(onGrid(temperature, dt, opts.MaxGap))
	d := differences(y.v)
	null := regression.YuleWalker(d, 8).Coefficients
	own := newAlone(d, null)
	least := leastSamples(temperature.Interval(), speed.Interval(), dt, opts)
	var bank []*response
	for _, x := range answers(speed, dt, opts.MaxGap) {
		bank = append(bank, &response{y: d, yGrid: y, x: withoutTrend(x), order: 8})
	}
	e := &evidence{between: between, top: math.Inf(-1), length: span.Duration()}
	e.offset = scan(bank, evenly(span, dt), null, own, least, dt)
	e.models = each(bank, func(r *response) []float64 {
		g, _ := r.logLikelihoods(e.offset, null, own, least)
		return g
	})
	e.sharpen(bank, null, own, least)
	// x was shifted by a lag onto the temperature's clock; the temperatures'
	// offset is the opposite.
	for i := range e.offset {
		e.offset[i] = -e.offset[i] - between
	}
	slices.Reverse(e.offset)
	for _, m := range e.models {
		slices.Reverse(m)
	}
	return e, nil
}
