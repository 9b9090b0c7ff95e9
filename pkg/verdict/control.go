package verdict

import (
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// control is the probe that bounds a drift, and by how much in K it changed from
// before to after in the kind of driving that counts; empty where there is none, or
// where it does not read in each drive.
func (a *Answer) control() (role drive.Role, moved float64) {
	before, after := a.counted(a.Before), a.counted(a.After)
	if len(before) == 0 || len(after) == 0 || !a.Rules.Controls(slices.Concat(before, after)) {
		return "", 0
	}
	for _, r := range after {
		moved += float64(r.Control) / float64(len(after))
	}
	for _, r := range before {
		moved -= float64(r.Control) / float64(len(before))
	}
	return a.Rules.Control, moved
}

// driftAllowed says what is done about a drift where the order can't tell it from
// the change.
func (a *Answer) driftAllowed() string {
	role, moved := a.control()
	switch {
	case role != "":
		return fmt.Sprintf("The control probe %q changed by %s from one to the other: so much is taken from the change, as far as the intake drifts with it, and the interval allows for the rest.", role, a.kelvins("%+.1f", moved))
	case a.Rules.Control != "":
		return fmt.Sprintf("The control probe %q does not read in each drive, so that it bounds no drift; the interval allows for a steady one from drive to drive.", a.Rules.Control)
	}
	return "The interval allows for a steady drift from drive to drive; a probe that the change does not touch, named as control in the campaign's question, would bound it."
}
