package clock

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// motionStep is the grid for the response to motion in seconds. Bay air takes
// ten seconds and more to answer, so that a finer grid only adds noise.
const motionStep = 4.0

// The bank of answers that are tried. Air under a bonnet warms at rest and
// cools in the air stream: its equilibrium is a falling function of speed,
// with a half-way speed that differs from car to car, and it is approached
// with the time constant of the bay, then of the probe. Which of them holds is
// not known beforehand, so the estimate averages over all, weighed by the
// data. Values are common practice, no source; they only need to span what
// occurs.
var (
	halfwaySpeeds = []float64{1.0, 4, 10}         // m/s
	bayConstants  = []float64{8, 16, 32, 64, 128} // s
	probeLags     = []float64{0, 10}              // s
)

// answerDelay is the standard uncertainty in seconds of what lies between the
// bank's models and a real bay: transport of air, mixing, a phone's smoothing.
// On real drives with one clock the estimates lie up to 6 s off.
const answerDelay = 5.0

// answerEvidence is the least evidence for an answer to motion. It is higher
// than for a shared quantity because a bank of models, none quite true, finds
// some relation in any two slow signals.
const answerEvidence = 8.0

// FromMotion estimates the offset between a recording of road speed and one of
// air temperatures: added to the temperatures' times it brings them onto the
// speed's clock. Stops warm the air under a bonnet and motion cools it, with a
// delay that is not known; the interval is honestly wide, tens of seconds
// rather than one. Each temperature is tried alone and they are averaged by
// their likelihood, because their noise is shared.
func FromMotion(speed *series.Series, temperatures []*series.Series, opts Options) (Result, error) {
	failed := Result{Method: MotionResponse, Offset: math.NaN()}
	if speed.Dimension != series.Speed {
		return failed, fmt.Errorf("clock.FromMotion: %q is a %v, not a speed", speed.Name, speed.Dimension)
	}
	if len(temperatures) == 0 {
		return failed, fmt.Errorf("clock.FromMotion: no temperature is given")
	}
	var all *evidence
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
		if all == nil {
			all = e
		} else {
			all.join(e)
		}
	}
	if all == nil {
		return failed, problem
	}
	opts.Delay = math.Max(opts.Delay, answerDelay)
	opts.MinEvidence = math.Max(opts.MinEvidence, answerEvidence)
	average := all.average()
	r, err := weigh(all.offset, average, opts, Result{Method: MotionResponse, Origin: temperatures[0].Start})
	if err != nil {
		return r, err
	}
	lags := make([]float64, len(all.offset))
	for i, x := range all.offset {
		lags[i] = -x - all.between
	}
	return r.rivals(all.best, all.noise, lags, average, -1, -all.between).judged(opts)
}

// evidence holds the log-likelihoods of several models over one set of
// offsets.
type evidence struct {
	offset []float64
	models [][]float64
	// The model that explains most, its noise, and how far the starts of the
	// two recordings lie apart.
	best    *response
	noise   []float64
	top     float64
	between float64
}

// join adds the models of another channel, interpolated onto e's offsets.
func (e *evidence) join(o *evidence) {
	if o.top > e.top && o.between == e.between {
		e.best, e.noise, e.top = o.best, o.noise, o.top
	}
	for _, m := range o.models {
		s := series.Series{Time: o.offset, Value: m}
		e.models = append(e.models, s.Resample(e.offset, math.Inf(1)).Value)
	}
}

// average returns the log of the models' mean likelihood at each offset.
func (e *evidence) average() []float64 {
	out := make([]float64, len(e.offset))
	column := make([]float64, len(e.models))
	for i := range out {
		seen := false
		for k, m := range e.models {
			column[k] = m[i]
			seen = seen || !math.IsNaN(m[i])
		}
		out[i] = math.NaN()
		if seen {
			out[i] = logMeanExp(column)
		}
	}
	return out
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
	null := autoregression(d, 8)
	least := leastSamples(temperature.Interval(), speed.Interval(), dt, opts)
	var bank []*response
	for _, x := range answers(speed, dt, opts.MaxGap) {
		bank = append(bank, &response{y: d, yGrid: y, x: withoutTrend(x), order: 8})
	}
	e := &evidence{offset: evenly(span, dt), between: between, top: math.Inf(-1)}
	for _, r := range bank {
		g, _ := r.logLikelihoods(e.offset, null, least)
		e.models = append(e.models, g)
	}
	e.sharpen(bank, null, least)
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

// sharpen repeats the search in steps of 1 s where the models' average is near
// its best. Models that explain little are interpolated.
func (e *evidence) sharpen(bank []*response, null []float64, least int) {
	average := e.average()
	lags := refine(e.offset, average, 1, 12)
	top := math.Inf(-1)
	for _, g := range average {
		if g > top {
			top = g
		}
	}
	for k, m := range e.models {
		useful := false
		for _, g := range m {
			useful = useful || g > top-12
		}
		if useful {
			g, noise := bank[k].logLikelihoods(lags, null, least)
			e.models[k] = g
			for _, v := range g {
				if v > e.top {
					e.top, e.best, e.noise = v, bank[k], noise
				}
			}
			continue
		}
		s := series.Series{Time: e.offset, Value: m}
		e.models[k] = s.Resample(lags, math.Inf(1)).Value
	}
	e.offset = lags
}

// trendWidth is the width in seconds of the moving mean that is taken off both
// signals: what is slower, warming up and the day's course, would otherwise
// pass for a relation.
const trendWidth = 300.0

func withoutTrend(g sampled) sampled {
	mean := movingMean(g.v, int(trendWidth/g.dt))
	out := sampled{g.t0, g.dt, make([]float64, len(g.v))}
	for i, v := range g.v {
		out.v[i] = v - mean[i]
	}
	return out
}

// answers returns the speed passed through each model of the bank, averaged
// over dt.
func answers(speed *series.Series, dt, maxGap float64) []sampled {
	fine := onGrid(speed, 1, math.Max(maxGap, 30))
	var all []sampled
	for _, half := range halfwaySpeeds {
		u := make([]float64, len(fine.v))
		for i, v := range fine.v {
			u[i] = 1 / (1 + math.Max(v, 0)*math.Max(v, 0)/(half*half))
		}
		for _, bay := range bayConstants {
			warmed := lowPass(u, bay)
			for _, probe := range probeLags {
				all = append(all, sampled{fine.t0, 1, movingMean(lowPass(warmed, probe), int(dt))})
			}
		}
	}
	return all
}

// lowPass is the first-order lag with the time constant tau at steps of 1 s.
// After a missing value it starts again at the value that follows.
func lowPass(u []float64, tau float64) []float64 {
	out := make([]float64, len(u))
	k := 1.0
	if tau > 0 {
		k = 1 - math.Exp(-1/tau)
	}
	state := math.NaN()
	for i, v := range u {
		switch {
		case math.IsNaN(v):
			state = math.NaN()
		case math.IsNaN(state):
			state = v
		default:
			state += k * (v - state)
		}
		out[i] = state
	}
	return out
}

// movingMean averages the present ones of n neighbouring values, centred;
// fewer at the ends.
func movingMean(x []float64, n int) []float64 {
	if n < 2 {
		return x
	}
	sum, count := make([]float64, len(x)+1), make([]float64, len(x)+1)
	for i, v := range x {
		sum[i+1], count[i+1] = sum[i], count[i]
		if !math.IsNaN(v) {
			sum[i+1], count[i+1] = sum[i]+v, count[i]+1
		}
	}
	out := make([]float64, len(x))
	for i, v := range x {
		lo, hi := max(0, i-n/2), min(len(x), i+n/2+1)
		out[i] = (sum[hi] - sum[lo]) / (count[hi] - count[lo])
		if math.IsNaN(v) {
			out[i] = v
		}
	}
	return out
}
