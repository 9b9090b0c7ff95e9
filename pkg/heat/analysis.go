// Package heat says where the intake's heat comes from: block and bay before
// the thermostat opens, radiator after it, soak after a stop.
package heat

import (
	"fmt"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// Estimate is a number with its 95 % interval, or the reason why the drive's
// channels do not give it. Differences are in kelvin, times in seconds, shares
// are numbers.
type Estimate = estimate.Estimate

// Analysis is the heat balance of one drive's intake.
type Analysis struct {
	Drive string
	// RiseBefore is the intake's rise over ambient just before the opening, when
	// the radiator is cold; RiseAfter its mean in this drive's settled driving
	// after it, on the open road where there is some; FromRadiator what the
	// radiator added to that; in K. The intervals of the first two hold the
	// probes' own errors. These cancel in Rest but for what of them, as of all that
	// is constant, can't be told from the radiator's heat, which FromRadiator counts.
	RiseBefore, RiseAfter, FromRadiator Estimate
	// Rest is what is left: RiseAfter less RiseBefore and FromRadiator. Block
	// and exhaust go on warming up after the opening, and the settled driving
	// was at another speed and load; it may be below 0.
	Rest Estimate
	// MixingFraction is the share of radiator air in the intake's air.
	MixingFraction Estimate
	// RadiatorShare is the part of the step from ambient to the coolant in the
	// top tank that the radiator adds to the intake: mixing fraction times
	// effectiveness, which a top tank alone can't take apart.
	RadiatorShare Estimate
	// Effectiveness is the radiator's (outlet − ambient)/(top tank − ambient).
	Effectiveness Estimate
	// BayTimeConstant is how fast the intake follows a change, in s.
	BayTimeConstant Estimate
	// HeatSoak is the intake's rise during stops, in K, SoakTimeConstant how
	// fast it comes, in s.
	HeatSoak, SoakTimeConstant Estimate
	// PickUp is the part of the settled rise that the air gathers on its way
	// in and that falls as the air flow grows, in K; known where the drive says
	// more of it than was thought beforehand: by climbs and full throttle.
	PickUp   Estimate
	Warnings []estimate.Warning
	model    model

	units       quantity.Preferred // of the drive
	cooledByAir bool               // no thermostat opens, and no radiator adds anything
}

// Estimates lists the estimates in reading order. The first three add up to
// the fourth.
func (a Analysis) Estimates() []Estimate {
	return []Estimate{a.RiseBefore, a.FromRadiator, a.Rest, a.RiseAfter, a.RadiatorShare, a.MixingFraction, a.Effectiveness, a.BayTimeConstant, a.HeatSoak, a.SoakTimeConstant, a.PickUp}
}

// ReadIn returns the units in which the drive's owner reads.
func (a Analysis) ReadIn() quantity.Preferred { return a.units }

// Kinds of warnings about a heat balance.
const (
	NotSettled  estimate.Kind = "not settled" // readings still drift
	Implausible estimate.Kind = "implausible" // a number outside what is possible
	Assumed     estimate.Kind = "assumed"     // a number that was not measured
)

// warn adds a warning about the drive.
func (a *Analysis) warn(kind estimate.Kind, text string) {
	a.Warnings = append(a.Warnings, estimate.Warning{Kind: kind, Subject: a.Drive, Text: text})
}

// String lists the estimates that are known, what would give the others, and
// the warnings, one a line.
func (a Analysis) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Heat of the intake, drive %q", a.Drive)
	for _, e := range a.Estimates() {
		if e.Known() {
			fmt.Fprintf(&b, "\n  %s", e)
		}
	}
	if wishes := a.Wishes(); len(wishes) > 0 {
		b.WriteString("\nOne more probe or drive would give:")
		for _, w := range wishes {
			fmt.Fprintf(&b, "\n  %s", w)
		}
	}
	for _, w := range a.Warnings {
		fmt.Fprintf(&b, "\n  warning: %s", w.Text)
	}
	return b.String()
}

// Analyse takes the intake's rise apart. It needs an intake and an ambient
// channel; everything else makes more estimates identifiable. segments are
// those of [segment.Split] for the same drive.
//
// Where no opening is seen but the owner says when the engine is warm
// ([drive.Drive.Warming], package warm), what needs a warm engine only is
// estimated all the same; what the radiator adds is not.
//
// All estimates rest on blocks of half a minute, not on single readings, and
// the intervals widen by the correlation that blocks still have.
//
// It fails where the drive has no intake or no ambient channel, where segments
// are missing, and where fewer than three blocks have all three of intake,
// ambient and speed.
func Analyse(d *drive.Drive, opening thermostat.Result, segments []segment.Segment) (Analysis, error) {
	a := Analysis{Drive: d.Name, units: d.Units, cooledByAir: opening.Outcome == thermostat.NoThermostat}
	if !d.Has(drive.Intake, drive.Ambient) {
		return a, fmt.Errorf("drive %q: heat needs an intake and an ambient temperature; it has %v", d.Name, d.RoleList())
	}
	if len(segments) == 0 {
		return a, fmt.Errorf("drive %q: heat needs its segments; pass the result of segment.Split", d.Name)
	}
	blocks := newBlocks(d, opening, segments)
	if len(blocks) < 3 {
		return a, fmt.Errorf("drive %q: intake, ambient and speed overlap in %d blocks of %d s only", d.Name, len(blocks), int(blockTime))
	}
	l := newLoad(d)
	a.splitRise(d, blocks, opening, l)
	a.radiator(d, blocks)
	a.bay(d, opening, segments)
	a.soak(d, opening, segments)
	a.model = fitModel(d, blocks, l)
	a.PickUp = a.model.pickUp(a.of(namePickUp))
	if !slices.ContainsFunc(blocks, func(b block) bool { return b.settled }) {
		a.warn(NotSettled, "no settled driving: what stands for it is all driving after the opening, and still drifts")
	}
	for _, e := range []*Estimate{&a.RiseBefore, &a.FromRadiator, &a.Rest, &a.RiseAfter, &a.HeatSoak, &a.PickUp} {
		e.Unit = a.units.Of(e.Unit.Kind())
	}
	return a, nil
}
