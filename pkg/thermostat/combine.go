package thermostat

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// combine weighs the channels: the most direct one with a firm answer leads,
// the others confirm or contradict it.
func combine(d *drive.Drive, verdicts map[drive.Role]verdict, rules Rules) Result {
	r := Result{Drive: d.Name, Units: d.Units, Onset: math.NaN(), FullyOpen: math.NaN(), Confidence: Low}
	var lead drive.Role
	for _, role := range precedence {
		v, ok := verdicts[role]
		if !ok {
			continue
		}
		r.Rejected = append(r.Rejected, v.rejected...)
		if v.evidence != nil {
			e := *v.evidence
			e.Onset.Contributions = r.contributions(role, e.Onset)
			r.Evidence = append(r.Evidence, e)
		}
		// Air alone decides nothing: on a second model of the bay half of the
		// steps that it shows are stops, hills and gusts.
		if lead == "" && v.outcome != NotDecidable && !isAir(role) {
			lead = role
		}
	}
	// The coolant at its level from the first reading: a tank that fills later
	// only fills again.
	if c := verdicts[drive.Coolant]; lead != "" && verdicts[lead].outcome == Opened && c.outcome == AlreadyOpen && c.firm {
		lead = drive.Coolant
	}
	if lead == "" {
		r.Reason, r.Held = "no channel decides", verdicts[drive.Coolant].held
		for _, role := range precedence {
			if v, ok := verdicts[role]; ok {
				r.Reason += fmt.Sprintf("; %s: %s", role, v.reason)
			}
		}
		return r
	}
	v := verdicts[lead]
	r.lead, r.Outcome, r.Reason, r.FullyOpen = lead, v.outcome, v.reason, v.fullyOpen
	r.Confidence = Medium
	if v.vague {
		r.Confidence = Low
		r.warn(estimate.Ambiguous, "the %s bends or rises more than once on its way; the interval spans what could be the opening", lead)
	}
	if v.evidence != nil {
		e := v.evidence.Onset
		r.Onset, r.Interval95 = e.Value, series.Interval{From: e.Interval.Low, To: e.Interval.High}
	}
	for _, role := range precedence {
		if w, ok := verdicts[role]; ok && role != lead {
			r.compare(lead, role, v, w, rules)
		}
	}
	return r
}

func isAir(role drive.Role) bool { return role == drive.EngineBay || role == drive.Intake }

// compare takes a second channel's word for or against the leading one.
func (r *Result) compare(lead, other drive.Role, v, w verdict, rules Rules) {
	switch {
	case w.outcome == NotDecidable || isAir(other) && !w.firm && w.outcome != Opened:
	case v.outcome != w.outcome:
		if isAir(other) {
			return // air alone may step for other reasons
		}
		r.Confidence = Low
		r.warn(estimate.Disagreement, "the %s says %s, but the %s says %s: %s", lead, v.outcome, other, w.outcome, w.reason)
	case v.outcome != Opened:
		r.Confidence = High
	default:
		early, late := rules.Agreement/6, rules.Agreement
		delay := w.evidence.Onset.Value - v.evidence.Onset.Value
		if delay >= -early-v.evidence.Onset.Interval.Width() && delay <= late {
			if r.Confidence == Medium {
				r.Confidence = High
			}
			return
		}
		if isAir(other) && !w.firm {
			return
		}
		if !isAir(other) {
			r.Confidence = Low
		}
		r.warn(estimate.Disagreement, "the %s puts the opening at %.0f s, %.0f s from that of the %s; they are not averaged", other, w.evidence.Onset.Value, delay, lead)
	}
}
