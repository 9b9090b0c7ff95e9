package clock_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// A few simulated pairs of each kind; coverage_proof_test.go has 500.
func TestEstimateSimulatedPairs(t *testing.T) {
	for k := range 10 {
		p := simulatedPair(7, k)
		r, err := clock.Estimate(p.first, p.second, clock.DefaultOptions())
		if p.kind == "none" {
			if !errors.Is(err, clock.ErrUndecided) {
				t.Errorf("pair %d: nothing to tell, but %v %v", k, r, err)
			}
			continue
		}
		if err != nil {
			if p.kind != "sparse" || !errors.Is(err, clock.ErrUndecided) {
				t.Errorf("pair %d (%s): %v", k, p.kind, err)
			}
			continue
		}
		if !r.Interval.Contains(p.truth) {
			t.Errorf("pair %d (%s): planted %+.1f s, found %v", k, p.kind, p.truth, r)
		}
	}
}

// Exchanging the recordings changes the sign and nothing else.
func TestEstimateIsAntisymmetric(t *testing.T) {
	for _, k := range []int{0, 1} {
		p := simulatedPair(8, k)
		a, err := clock.Estimate(p.first, p.second, clock.DefaultOptions())
		if err != nil {
			t.Fatal(err)
		}
		b, err := clock.Estimate(p.second, p.first, clock.DefaultOptions())
		if err != nil {
			t.Fatal(err)
		}
		if d := a.Offset + b.Offset; math.Abs(d) > 0.6 {
			t.Errorf("%s: %v one way, %v the other", p.kind, a.Offset, b.Offset)
		}
	}
}

// A clock that is years off, and a phone in UTC beside a logger in local time,
// are found like any other offset: the search does not start from the clocks.
func TestEstimateWrongYear(t *testing.T) {
	p := simulatedPair(9, 1)
	years := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC).Sub(p.second[0].Series.Start).Round(time.Second)
	for _, wrong := range []time.Duration{years, 2 * time.Hour} {
		moved := *p.second[0].Series
		moved.Start = moved.Start.Add(wrong)
		second := []clock.Channel{{Series: &moved, Kind: clock.RoadSpeed, Place: "speed"}}
		r, err := clock.Estimate(p.first, second, clock.DefaultOptions())
		if err != nil {
			t.Fatal(err)
		}
		if truth := p.truth - wrong.Seconds(); !r.Interval.Contains(truth) || r.Interval.Duration() > 5 {
			t.Errorf("clock wrong by %v: %v, truth %.1f", wrong, r, truth)
		}
		o, err := clock.NewOverlay(p.first[0].Series, &moved, r, 10)
		if err != nil || o.Overlap {
			t.Fatalf("overlay: %v, overlap before %v", err, o.Overlap)
		}
		var agree, n float64
		for i := range o.Time {
			if x := o.First[i] * o.After[i]; !math.IsNaN(x) {
				agree += x
				n++
			}
		}
		if agree/n < 0.95 {
			t.Errorf("after the correction the two speeds correlate with %.3f only", agree/n)
		}
	}
}

// Laps that are all alike allow several offsets: it must say so.
func TestEstimateAmbiguousLaps(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	lap := route(r, 400, 1, false)
	var truth []float64
	for range 4 {
		truth = append(truth, lap...)
	}
	a := record(r, "speed", series.Speed, truth, 0, 1600, 1, 0.01, 0.15, day)
	b := record(r, "speed", series.Speed, truth, 500, 1400, 1, 0.01, 0.15, day.Add(500*time.Second))
	got, err := clock.FromSharedQuantity(a, b, clock.DefaultOptions())
	if err != nil && !errors.Is(err, clock.ErrUndecided) {
		t.Fatal(err)
	}
	if err == nil && (!got.IsAmbiguous() || len(got.Warnings) == 0) {
		t.Errorf("laps of 400 s: %v", got)
	}
	if !got.Interval.Contains(0) {
		t.Errorf("the truth, 0 s, is not in %v", got.Interval)
	}
}

// Ten hours at 1 Hz with a clock that gains 60 ppm: the drift is seen.
func TestDriftOfALongRecording(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	const duration, drift = 36000.0, 60e-6
	truth := route(r, duration, 1, false)
	a := record(r, "speed", series.Speed, truth, 0, duration, 2, 0.01, 0.15, day)
	b := record(r, "speed", series.Speed, truth, 0, duration, 2, 0.01, 0.15, day)
	slow := make([]float64, b.Len())
	for i, x := range b.Time {
		slow[i] = x/(1+drift) - 7 // what the second clock shows
	}
	b.Time = slow
	opts := clock.DefaultOptions()
	opts.Search = series.Interval{From: -60, To: 60}
	got, err := clock.FromSharedQuantity(a, b, opts)
	if err != nil {
		t.Fatal(err)
	}
	if !got.DriftEstimated || !got.DriftInterval.Contains(drift) || got.DriftInterval.Duration() > 40e-6 {
		t.Errorf("drift %v in %v, truth %v: %v", got.Drift, got.DriftInterval, drift, got)
	}
	end := got.At(at(duration/(1+drift) - 7)).Sub(day).Seconds()
	if math.Abs(end-duration) > 1 {
		t.Errorf("the end lies at %v s on the first clock, want %v", end, duration)
	}
}

func TestEstimateSaysWhyNot(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	v := route(r, 900, 1, false)
	speed := record(r, "speed", series.Speed, v, 0, 900, 1, 0.01, 0.1, day)
	tank := record(r, "tank", series.Temperature, bayAir(r, v, true), 0, 900, 2, 0.1, 0.05, day)
	_, err := clock.Estimate([]clock.Channel{{Series: speed, Kind: clock.RoadSpeed, Place: "speed"}}, []clock.Channel{{Series: tank, Place: "top-tank"}}, clock.DefaultOptions())
	if !errors.Is(err, clock.ErrUndecided) {
		t.Errorf("nothing in common: %v", err)
	}
	short := record(r, "speed", series.Speed, v, 0, 50, 1, 0.01, 0.1, day)
	if _, err := clock.FromSharedQuantity(speed, short, clock.DefaultOptions()); !errors.Is(err, clock.ErrUndecided) {
		t.Errorf("50 s: %v", err)
	}
	if _, err := clock.FromSharedQuantity(speed, tank, clock.DefaultOptions()); err == nil {
		t.Error("a speed was compared with a temperature")
	}
}
