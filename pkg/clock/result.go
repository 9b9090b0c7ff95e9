package clock

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// ErrUndecided is wrapped by errors of methods that found no offset the data
// favour: the honest answer is that it can't be told from these data.
var ErrUndecided = errors.New("the clock offset can't be told from these data")

// ErrNoOverlap is wrapped where two recordings have no common time at all.
var ErrNoOverlap = errors.New("the recordings do not overlap in time")

// Method says how an offset was found.
type Method int

// The methods.
const (
	AsWritten      Method = iota // both clocks are taken as they are
	StatedOffset                 // the user wrote the offset
	SyncEvents                   // events that the user noted on both clocks
	SharedQuantity               // one physical quantity on both devices
	MotionResponse               // speed on one, the temperatures' answer on the other
	SeveralDrives                // what several drives of the two devices say together
	DriveTimes                   // when the two began and ended to record, over several drives
)

var methodNames = [...]string{"as written", "stated offset", "sync events", "shared quantity", "response to motion", "several drives together", "when the drives began and ended"}

// String returns the method's name.
func (m Method) String() string { return methodNames[m] }

// Result maps the second recording's clock onto the first's:
//
//	first = second + Offset + Drift·(second − Origin)
//
// Times are in seconds. Offset and Drift are the numbers of this map;
// OffsetEstimate and DriftEstimate give them with what they rest on.
type Result struct {
	Method Method
	// Via names the recording that the second was compared with, where it is
	// not the only one.
	Via string
	// Drives is how many drives agree on the offset where the method is
	// SeveralDrives or DriveTimes; else 0.
	Drives int
	// Offset is added to the second recording's times, at Origin.
	Offset float64
	// Drift is the gain in seconds per second; 0 where it was not estimated.
	Drift float64
	// Origin is the instant, on the second clock, at which Offset holds.
	Origin time.Time
	// Interval is the 95 % interval of Offset. Where two offsets explain the
	// data about equally it spans both.
	Interval series.Interval
	// DriftInterval is the 95 % interval of Drift; both ends 0 where drift was
	// not estimated.
	DriftInterval series.Interval
	// DriftEstimated tells an estimated drift from one that was taken as zero.
	DriftEstimated bool
	// Alternatives are further offsets that explain the data nearly as well,
	// best first; each lies in a separate part of the likelihood.
	Alternatives []Alternative
	// Evidence is the natural logarithm of the Bayes factor, relation against
	// no relation; 0 where nothing was estimated.
	Evidence float64
	// Profile is the evidence over all offsets that were tried.
	Profile Profile
	// Warnings say what to check before the result is trusted.
	Warnings []estimate.Warning
}

// Alternative is another offset that the data allow.
type Alternative struct {
	Offset float64
	// Support says how well the data allow it beside the best offset, 0 to 1.
	Support float64
}

// Profile is the log-likelihood over offsets, relative to the best one.
type Profile struct {
	Offset        []float64 // ascending, seconds
	LogLikelihood []float64 // at most 0; NaN where the overlap is too short
	// Top is the log-likelihood of the best offset against no relation.
	Top float64
	// Length in seconds is that of the range of offsets that were tried, of which
	// Offset lists those that matter.
	Length float64
	// At is the middle of the second recording on its own clock; zero where the
	// profile is of series alone ([FromMotion], [FromSharedQuantity]).
	At time.Time
}

// StandardUncertainty returns that of Offset in seconds: half the 95 %
// interval's length divided by 1.96, as for a normal distribution.
func (r Result) StandardUncertainty() float64 {
	return (r.Interval.To - r.Interval.From) / (2 * normal)
}

// normal is the 97.5 % point of the normal distribution.
const normal = 1.959964

// Kinds of warnings about clocks, beside [estimate.ClockDoubtful],
// [estimate.Ambiguous] and [estimate.Disagreement].
const (
	TimeZone estimate.Kind = "time zone" // an offset as between two time zones
)

// OffsetEstimate returns the offset as an estimate in seconds. device names
// whose clock it is: the same device's offset in two results is one source of
// uncertainty.
func (r Result) OffsetEstimate(device string) estimate.Estimate {
	e := r.estimate("offset of the clock of "+device, r.Offset, quantity.KindDuration.SI(), r.Interval)
	e.Warnings = r.Warnings
	return e
}

// DriftEstimate returns the drift as an estimate in seconds per second, shown
// in parts per million; unknown where it was not estimated or stated.
func (r Result) DriftEstimate(device string) estimate.Estimate {
	name, ppm := "drift of the clock of "+device, quantity.KindClockDrift.Unit("ppm")
	if !r.DriftEstimated && r.Method != StatedOffset {
		return estimate.Unknown(name, ppm, "the common time is too short to see one; it is taken as zero")
	}
	return r.estimate(name, r.Drift, ppm, r.DriftInterval)
}

func (r Result) estimate(name string, value float64, unit quantity.Unit, v series.Interval) estimate.Estimate {
	e := estimate.Between(name, value, unit, estimate.Interval{Low: v.From, High: v.To, Level: 0.95}, r.Method.basis(), math.NaN())
	if half := (v.To - v.From) / 2; half > 0 && !math.IsInf(half, 1) {
		e.Contributions = []estimate.Contribution{{Source: estimate.Source{Kind: estimate.Alignment, ID: name}, Effect: half / normal}}
	}
	return e
}

func (m Method) basis() estimate.Basis {
	switch m {
	case StatedOffset:
		return estimate.Stated
	case SyncEvents, DriveTimes:
		return estimate.Propagated
	case SharedQuantity, MotionResponse, SeveralDrives:
		return estimate.Likelihood
	}
	return estimate.NoBasis
}

// At returns the time on the first clock of an instant on the second.
func (r Result) At(second time.Time) time.Time {
	return second.Add(seconds(r.shift(second)))
}

// Shown returns what the second clock shows at an instant on the first: the
// inverse of At.
func (r Result) Shown(first time.Time) time.Time {
	second := first.Add(-seconds(r.Offset))
	if r.Drift == 0 {
		return second
	}
	return r.Origin.Add(seconds(second.Sub(r.Origin).Seconds() / (1 + r.Drift)))
}

func (r Result) shift(second time.Time) float64 {
	d := r.Offset
	if r.Drift != 0 {
		d += r.Drift * second.Sub(r.Origin).Seconds()
	}
	return d
}

// Apply returns s on the first recording's clock, with times counted from the
// given start.
func (r Result) Apply(s *series.Series, start time.Time) *series.Series {
	base := s.Start.Sub(start).Seconds()
	toOrigin := 0.0
	if r.Drift != 0 {
		toOrigin = s.Start.Sub(r.Origin).Seconds()
	}
	t := make([]float64, len(s.Time))
	for i, x := range s.Time {
		t[i] = base + x + r.Offset + r.Drift*(toOrigin+x)
	}
	return &series.Series{Name: s.Name, Dimension: s.Dimension, Start: start, Time: t, Value: s.Value}
}

// IsAmbiguous reports whether another offset explains the data nearly as well.
func (r Result) IsAmbiguous() bool { return len(r.Alternatives) > 0 }

// String says the result in one sentence and its warnings below.
func (r Result) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "offset %s", signed(r.Offset))
	switch half := (r.Interval.To - r.Interval.From) / 2; {
	case math.IsInf(half, 0) || math.IsNaN(half):
		b.WriteString(" (uncertainty not known)")
	case half > 0:
		fmt.Fprintf(&b, " (95 %%: %s to %s)", signed(r.Interval.From), signed(r.Interval.To))
	}
	if r.DriftEstimated {
		fmt.Fprintf(&b, ", drift %.1f ppm (95 %%: %.1f to %.1f)", r.Drift*1e6, r.DriftInterval.From*1e6, r.DriftInterval.To*1e6)
	} else if r.Drift != 0 {
		fmt.Fprintf(&b, ", drift %.1f ppm", r.Drift*1e6)
	}
	fmt.Fprintf(&b, ", by %s", r.Method)
	if r.Drives > 0 {
		fmt.Fprintf(&b, " (%d of them agree)", r.Drives)
	}
	if r.Via != "" {
		fmt.Fprintf(&b, " with %s", r.Via)
	}
	for _, a := range r.Alternatives {
		fmt.Fprintf(&b, "\n  also possible: %s (support %.0f %%)", signed(a.Offset), 100*a.Support)
	}
	for _, w := range r.Warnings {
		fmt.Fprintf(&b, "\n  check: %s", w.Text)
	}
	return b.String()
}

func seconds(x float64) time.Duration {
	return time.Duration(math.Round(x * 1e9))
}

// signed writes a number of seconds in the form that is easiest to check.
func signed(x float64) string {
	if math.Abs(x) < 600 {
		return fmt.Sprintf("%+.1f s", x)
	}
	sign := "+"
	if x < 0 {
		sign = "-"
	}
	return sign + seconds(math.Abs(x)).Round(100*time.Millisecond).String()
}
