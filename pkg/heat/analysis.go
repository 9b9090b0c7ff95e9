// Package heat says where the intake's heat comes from: block and bay before
// the thermostat opens, radiator after it, soak after a stop.
package heat

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// Estimate is a number with its 95 % interval, or the reason why the drive's
// channels do not give it.
type Estimate struct {
	Name string
	Unit string
	// Value is NaN where Identifiable is false.
	Value     float64
	Low, High float64 // 95 % interval
	// Identifiable is false where the channels do not give the number; Reason
	// then says why and what would.
	Identifiable bool
	Reason       string
	// Count is how many independent stretches it rests on.
	Count int
}

// String returns the estimate in one line.
func (e Estimate) String() string {
	if !e.Identifiable {
		return fmt.Sprintf("%s: not identifiable from these channels: %s", e.Name, e.Reason)
	}
	unit := " " + e.Unit
	if e.Unit == "1" {
		unit = "" // a share has no unit to print
	}
	return fmt.Sprintf("%s: %.3g%s (95 %% interval %.3g to %.3g)", e.Name, e.Value, unit, e.Low, e.High)
}

// Analysis is the heat balance of one drive's intake.
type Analysis struct {
	Drive string
	// RiseBefore is the intake's rise over ambient at the opening, before the
	// radiator is hot; RiseAfter that in settled driving after it, at its mean
	// speed, FromRadiator what the radiator
	// added; in K.
	RiseBefore, RiseAfter, FromRadiator Estimate
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
	// in and that falls as 1/airflow, in K; known where the drive has enough
	// contrast of load, above all full throttle.
	PickUp   Estimate
	Warnings []string
	model    model
}

// Estimates lists the estimates in reading order.
func (a Analysis) Estimates() []Estimate {
	return []Estimate{a.RiseBefore, a.RiseAfter, a.FromRadiator, a.RadiatorShare, a.MixingFraction, a.Effectiveness, a.BayTimeConstant, a.HeatSoak, a.SoakTimeConstant, a.PickUp}
}

// String lists the estimates and warnings, one a line.
func (a Analysis) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Heat of the intake, drive %q", a.Drive)
	for _, e := range a.Estimates() {
		fmt.Fprintf(&b, "\n  %s", e)
	}
	for _, w := range a.Warnings {
		fmt.Fprintf(&b, "\n  warning: %s", w)
	}
	return b.String()
}

// Analyse takes the intake's rise apart. It needs an intake and an ambient
// channel; everything else makes more estimates identifiable. segments are
// those of [segment.Split] for the same drive.
//
// All estimates rest on blocks of half a minute, not on single readings, and
// the intervals widen by the correlation that blocks still have.
func Analyse(d *drive.Drive, opening thermostat.Result, segments []segment.Segment) (Analysis, error) {
	a := Analysis{Drive: d.Name}
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
	a.splitRise(d, blocks, opening)
	a.radiator(d, blocks)
	a.bay(d, opening, segments)
	a.soak(d, opening, segments)
	a.model = fitModel(d, blocks, opening)
	a.PickUp = a.model.pickUpEstimate()
	if a.model.why != "" {
		a.Warnings = append(a.Warnings, a.model.why)
	}
	if n := countBlocks(blocks, func(b block) bool { return b.settled }); n == 0 {
		a.Warnings = append(a.Warnings, "no settled driving: what stands for it is all driving after the opening, and still drifts")
	}
	return a, nil
}

// no returns an estimate that the drive does not give.
func no(name, unit, reason string, arguments ...any) Estimate {
	nan := math.NaN()
	return Estimate{Name: name, Unit: unit, Value: nan, Low: nan, High: nan, Reason: fmt.Sprintf(reason, arguments...)}
}
