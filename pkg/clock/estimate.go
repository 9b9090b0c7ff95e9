package clock

import (
	"errors"
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Estimate finds the offset between two recordings by what their channels
// allow: first by a quantity that both have (same place, same dimension), then
// by the answer of air temperatures on one to the road speed on the other. The
// offset is added to the second's times.
//
// The error wraps [ErrUndecided] where the data do not tell; the result has the
// profile that tells most even so, for [FromSeveral].
func Estimate(first, second []Channel, opts Options) (Result, error) {
	r, err := estimateOffset(first, second, opts)
	if len(r.Profile.Offset) > 0 {
		r.Profile.At = middle(second)
	}
	return r, err
}

func estimateOffset(first, second []Channel, opts Options) (Result, error) {
	var tried []error
	undecided := Result{Method: AsWritten, Offset: math.NaN(), Interval: series.Interval{From: math.Inf(-1), To: math.Inf(1)}}
	best, found := undecided, false
	for _, a := range first {
		for _, b := range second {
			if a.Place != b.Place || a.Series.Dimension != b.Series.Dimension {
				continue
			}
			r, err := FromSharedQuantity(a.Series, b.Series, withDelay(opts, a.Kind))
			if err != nil {
				tried = append(tried, fmt.Errorf("%s on both: %w", a.Place, err))
				undecided.Profile = telling(undecided.Profile, r.Profile)
				continue
			}
			if !found || r.Interval.Duration() < best.Interval.Duration() {
				best, found = r, true
			}
		}
	}
	if found {
		return best, nil
	}
	for _, try := range []struct {
		speeds, airs []Channel
		reversed     bool
	}{{first, second, false}, {second, first, true}} {
		r, err := tryMotion(try.speeds, try.airs, opts, try.reversed)
		switch {
		case err == nil:
			return r, nil
		case !errors.Is(err, errNoPair):
			tried = append(tried, err)
			undecided.Profile = telling(undecided.Profile, r.Profile)
		}
	}
	if len(tried) == 0 {
		return undecided, fmt.Errorf("%w: they have no quantity in common, nor speed on one and air temperatures on the other", ErrUndecided)
	}
	return undecided, errors.Join(tried...)
}

// telling returns the profile with more evidence.
func telling(a, b Profile) Profile {
	if len(b.Offset) > 0 && (len(a.Offset) == 0 || b.Top > a.Top) {
		return b
	}
	return a
}

var errNoPair = errors.New("no speed on one and temperature on the other")

// probeDelay is the standard uncertainty in seconds of the difference of two
// probes' lags in air: bare junctions answer within 2 to 5 s, sheathed ones
// within 10 to 15 s (common practice, no source), so that the difference is a
// rectangle of about ±9 s: ±8.6 s is its 95 % interval.
const probeDelay = 4.4

func withDelay(opts Options, k Kind) Options {
	if k != RoadSpeed {
		opts.Delay = math.Max(opts.Delay, probeDelay)
	}
	return opts
}

// tryMotion pairs the first speed with all air temperatures. Reversed says
// that the temperatures are the first recording's.
func tryMotion(speeds, airs []Channel, opts Options, reversed bool) (Result, error) {
	var speed *series.Series
	for _, c := range speeds {
		if c.Kind == RoadSpeed && speed == nil {
			speed = c.Series
		}
	}
	var temperatures []*series.Series
	for _, c := range airs {
		if c.Kind == AirTemperature {
			temperatures = append(temperatures, c.Series)
		}
	}
	if speed == nil || len(temperatures) == 0 {
		return Result{}, errNoPair
	}
	if reversed && !opts.Search.IsEmpty() {
		opts.Search = series.Interval{From: -opts.Search.To, To: -opts.Search.From}
	}
	r, err := FromMotion(speed, temperatures, opts)
	if reversed {
		r = r.inverse(speed)
	}
	return r, err
}

// inverse exchanges the roles of the two recordings.
func (r Result) inverse(second *series.Series) Result {
	r.Offset = -r.Offset
	r.Interval = series.Interval{From: -r.Interval.To, To: -r.Interval.From}
	alternatives := make([]Alternative, len(r.Alternatives))
	for i, a := range r.Alternatives {
		alternatives[i] = Alternative{-a.Offset, a.Support}
	}
	r.Alternatives = alternatives
	n := len(r.Profile.Offset)
	p := r.Profile // but for the order of its offsets
	p.Offset, p.LogLikelihood = make([]float64, n), make([]float64, n)
	for i := range n {
		p.Offset[i], p.LogLikelihood[i] = -r.Profile.Offset[n-1-i], r.Profile.LogLikelihood[n-1-i]
	}
	r.Profile = p
	r.Origin = second.Start
	if len(r.Warnings) > 0 {
		r.Warnings = r.doubts()
	}
	return r
}
