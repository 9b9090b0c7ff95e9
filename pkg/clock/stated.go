package clock

import (
	"fmt"
	"math"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Stated returns an offset that the user gives, in seconds, with a drift in
// seconds per second from the instant origin on. A standard uncertainty that
// is NaN is one that is not known.
func Stated(offset, drift, uncertainty float64, origin time.Time) Result {
	half := normal * uncertainty
	if math.IsNaN(half) {
		half = math.Inf(1)
	}
	return Result{
		Method: StatedOffset, Offset: offset, Drift: drift, Origin: origin,
		Interval: series.Interval{From: offset - half, To: offset + half},
	}
}

// Events says how well a person reads events off two clocks. Start from
// DefaultEvents.
type Events struct {
	// Reading is the standard uncertainty of one noted time in seconds; 0
	// means 0.5, a person noting whole seconds.
	Reading float64
}

// DefaultEvents returns the reading of a person who notes whole seconds.
func DefaultEvents() Events { return Events{Reading: 0.5} }

// driftPrior is a generous 95 % bound for the rate error between two quartz
// clocks in a car: ±20 ppm each by specification, and about −50 ppm for a
// watch crystal at 60 °C (parabola of −0.042 ppm/K² about 25 °C).
const driftPrior = 100e-6

// FromEvents returns the offset from times of the same events on both clocks,
// in the same order. From three events that span long enough for it to matter
// the drift is estimated too, by least squares. It fails where there is no
// event, or not the same number on both.
func FromEvents(first, second []time.Time, opts Events) (Result, error) {
	if len(first) != len(second) || len(first) == 0 {
		return Result{Offset: math.NaN()}, fmt.Errorf("clock.FromEvents: %d events on the first clock, %d on the second: the same events are needed on both", len(first), len(second))
	}
	sigma := opts.Reading
	if sigma <= 0 {
		sigma = DefaultEvents().Reading
	}
	sigma *= math.Sqrt2 // two readings an event
	origin := second[0]
	t, d := make([]float64, len(first)), make([]float64, len(first))
	for i := range first {
		t[i], d[i] = second[i].Sub(origin).Seconds(), first[i].Sub(second[i]).Seconds()
	}
	l := fitOffsets(t, d, nil)
	r := Result{Method: SyncEvents, Offset: l.offset, Origin: origin.Add(seconds(l.origin))}
	if uDrift := sigma * l.uDrift; len(t) >= 3 && 1.96*uDrift < driftPrior {
		r.Drift = l.drift
		r.DriftEstimated = true
		r.DriftInterval = series.Interval{From: r.Drift - 1.96*uDrift, To: r.Drift + 1.96*uDrift}
	}
	half := normal * sigma * l.uOffset
	r.Interval = series.Interval{From: r.Offset - half, To: r.Offset + half}
	worst := 0
	for i := range d {
		if math.Abs(d[i]-r.shift(second[i])) > math.Abs(d[worst]-r.shift(second[worst])) {
			worst = i
		}
	}
	if miss := d[worst] - r.shift(second[worst]); math.Abs(miss) > 4*sigma {
		r.Interval.From = math.Min(r.Interval.From, r.Offset-math.Abs(miss))
		r.Interval.To = math.Max(r.Interval.To, r.Offset+math.Abs(miss))
		r.Warnings = append(r.Warnings, estimate.Warning{Kind: estimate.Disagreement,
			Text: fmt.Sprintf("event %d lies %.1f s off the others; was it noted wrongly, or did one clock jump?", worst+1, miss)})
	}
	return r, nil
}
