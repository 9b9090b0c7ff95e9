// Package segment cuts a drive into stretches of one kind: stopped,
// stop-and-go, steady, open road, full throttle, brisk; marks warm-up, heat soak
// and settled stretches; and pairs like stretches of two drives.
package segment

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Kind says how the car moved.
type Kind int

// The kinds. Every instant of a drive has exactly one.
const (
	Unknown      Kind = iota // no speed there: a gap, a tunnel
	Stopped                  // at rest
	StopAndGo                // slow traffic with several stops
	Steady                   // moving at nearly constant speed
	OpenRoad                 // moving, speed changing, no stops
	FullThrottle             // accelerating with the throttle fully open
	Brisk                    // accelerating so hard that the throttle may have been fully open, which nothing shows
)

// hard reports whether the kind has a least duration of its own.
func (k Kind) hard() bool { return k == FullThrottle || k == Brisk }

// Kinds lists the kinds in order.
func Kinds() []Kind {
	return []Kind{Unknown, Stopped, StopAndGo, Steady, OpenRoad, FullThrottle, Brisk}
}

// String returns the kind in words.
func (k Kind) String() string {
	names := [...]string{"unknown", "stopped", "stop-and-go", "steady", "open road", "full throttle", "brisk"}
	if k < 0 || int(k) >= len(names) {
		return fmt.Sprintf("Kind(%d)", int(k))
	}
	return names[k]
}

// Position is a place on the road.
type Position struct{ Latitude, Longitude quantity.Angle }

// Segment is one stretch of a drive. It is of one kind, and lies wholly before
// or after the thermostat's opening and wholly inside or outside heat soak:
// stretches are cut at those instants.
type Segment struct {
	Kind           Kind
	Interval       series.Interval // s, drive time, half-open
	Distance       quantity.Length
	MeanSpeed      quantity.Speed // mean over time, stops included
	SpeedDeviation quantity.Speed // standard deviation over time
	Stops          int            // times the car came to rest inside
	// WarmUp is set before the thermostat opened.
	WarmUp bool
	// HeatSoak is set while the bay still gives off what it stored during a
	// long stop: at the stop and for a while after moving off.
	HeatSoak bool
	// Settled is set in motion where the intake neither drifts, warms up nor
	// soaks; such stretches may be compared.
	Settled bool
	// Unsettled is why Settled is not set, NotSettled the same in words; empty
	// if it is.
	Unsettled  Cause
	NotSettled string
	// TimeSinceOpening is from opening to the middle of the stretch in
	// seconds; NaN before the opening or if that is unknown.
	TimeSinceOpening float64
	// Drift is the slope of the intake's rise over ambient in K/s, NaN
	// without an intake channel or in too short a stretch.
	Drift float64
	// Basis says what the kind was judged from where that is not speed alone.
	Basis string
	// Stated says that the kind is what the drive's owner said.
	Stated bool
	// Likely is the probability that the throttle was fully open, of a stretch at
	// full throttle or a brisk one; 1 where a channel or the owner says so, 0 of
	// other kinds.
	Likely float64
	// From and To are the ends on the road; nil without GPS.
	From, To *Position

	units quantity.Preferred
}

// ReadIn returns the units in which the drive's owner reads.
func (s Segment) ReadIn() quantity.Preferred { return s.units }

// String describes the stretch in one line.
func (s Segment) String() string {
	text := fmt.Sprintf("%-13s %6.0f to %6.0f s, %s", s.Kind, s.Interval.From, s.Interval.To, s.units.Say(quantity.KindSpeed, "%.1f", float64(s.MeanSpeed)))
	for _, m := range []struct {
		set  bool
		name string
	}{{s.WarmUp, "warm-up"}, {s.HeatSoak, "heat soak"}, {s.Settled, "settled"}} {
		if m.set {
			text += ", " + m.name
		}
	}
	return text
}

// Select returns the stretches of the given kind.
func Select(segments []Segment, kind Kind) []Segment {
	var chosen []Segment
	for _, s := range segments {
		if s.Kind == kind {
			chosen = append(chosen, s)
		}
	}
	return chosen
}

// Settled returns the settled stretches.
func Settled(segments []Segment) []Segment {
	var chosen []Segment
	for _, s := range segments {
		if s.Settled {
			chosen = append(chosen, s)
		}
	}
	return chosen
}
