package clock_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

func at(seconds float64) time.Time { return day.Add(time.Duration(seconds * 1e9)) }

// Two events, each noted to 0.5 s on both clocks: the mean's 95 % interval is
// ±1.96·0.5·√2/√2 = ±0.98 s, by hand.
func TestFromEvents(t *testing.T) {
	r, err := clock.FromEvents([]time.Time{at(100), at(401)}, []time.Time{at(90), at(390)}, clock.Events{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Offset != 10.5 || math.Abs(r.Interval.To-11.48) > 0.001 || r.DriftEstimated {
		t.Errorf("%v", r)
	}
	if _, err := clock.FromEvents([]time.Time{at(1)}, nil, clock.Events{}); err == nil {
		t.Error("one clock only")
	}
}

// Events a day apart show the drift of a clock that loses 1.73 s a day
// (20 ppm); in between the offset is interpolated.
func TestFromEventsDrift(t *testing.T) {
	first := []time.Time{at(0), at(43200), at(86400)}
	second := []time.Time{at(0), at(43200 - 0.864), at(86400 - 1.728)}
	r, err := clock.FromEvents(first, second, clock.Events{Reading: 0.05})
	if err != nil {
		t.Fatal(err)
	}
	if !r.DriftEstimated || math.Abs(r.Drift-20e-6) > 1e-8 || !r.DriftInterval.Contains(20e-6) {
		t.Errorf("%v", r)
	}
	if d := r.At(second[2]).Sub(first[2]).Seconds(); math.Abs(d) > 1e-3 {
		t.Errorf("the last event is %v s off", d)
	}
}

func TestFromEventsOutlier(t *testing.T) {
	r, err := clock.FromEvents([]time.Time{at(0), at(100), at(260)}, []time.Time{at(-5), at(95), at(195)}, clock.Events{})
	if err != nil || len(r.Warnings) != 1 {
		t.Fatalf("%v %v", r, err)
	}
	if !r.Interval.Contains(5) || !r.Interval.Contains(60) {
		t.Errorf("interval %v does not span the contradiction", r.Interval)
	}
}

func TestApplyKeepsInstants(t *testing.T) {
	s, _ := series.New("x", series.Speed, day, []float64{0, 10}, []float64{1, 2})
	r := clock.Stated(3, 1e-3, 0.5, day)
	got := r.Apply(s, day.Add(-time.Second))
	if math.Abs(got.Time[0]-4) > 1e-9 || math.Abs(got.Time[1]-14.01) > 1e-9 {
		t.Errorf("times %v", got.Time)
	}
	if d := r.At(s.At(1)).Sub(got.At(1)); d > time.Microsecond || d < -time.Microsecond {
		t.Errorf("At and Apply differ by %v", d)
	}
}

// Results as estimates: the device names the source, an outlier is a typed
// warning, a drift that was not looked for is not zero but unknown.
func TestResultsAreEstimates(t *testing.T) {
	r, err := clock.FromEvents([]time.Time{at(100), at(401), at(720)}, []time.Time{at(90), at(390), at(700)}, clock.DefaultEvents())
	if err != nil {
		t.Fatal(err)
	}
	if !estimate.Has(r.Warnings, estimate.Disagreement) {
		t.Errorf("warnings %v", r.Warnings)
	}
	e := r.OffsetEstimate("logger A")
	if e.Value != r.Offset || e.Interval.Low != r.Interval.From || e.Basis != estimate.Propagated || !strings.Contains(e.Contributions[0].Source.ID, "logger A") {
		t.Errorf("%+v", e)
	}
	if math.Abs(e.StandardUncertainty()-r.StandardUncertainty()) > 1e-12 {
		t.Errorf("standard uncertainty %v, want %v", e.StandardUncertainty(), r.StandardUncertainty())
	}
	if d := r.DriftEstimate("logger A"); d.Known() {
		t.Errorf("drift %+v of three events in ten minutes", d)
	}
	unsure := clock.Stated(12, 0, math.NaN(), day).OffsetEstimate("phone")
	if !math.IsInf(unsure.Interval.High, 1) || len(unsure.Contributions) != 0 || unsure.Basis != estimate.Stated {
		t.Errorf("%+v", unsure)
	}
}
