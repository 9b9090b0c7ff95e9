package verdict

import (
	"fmt"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
	"github.com/bonnetbook/bonnetbook/pkg/verdict/internal/doubt"
	"github.com/bonnetbook/bonnetbook/pkg/warm"
)

// FlawKind is what makes a comparison less than fair.
type FlawKind string

// The kinds.
const (
	FlawOrder        FlawKind = "order"
	FlawProbe        FlawKind = "probe"
	FlawRoute        FlawKind = "route"
	FlawWeather      FlawKind = "weather"
	FlawWarmStart    FlawKind = "warm start"
	FlawRoles        FlawKind = "roles"
	FlawSame         FlawKind = "same configuration"
	FlawFewDrives    FlawKind = "few drives"
	FlawOutlier      FlawKind = "outlier"
	FlawMounting     FlawKind = "mounting"
	FlawUncalibrated FlawKind = "uncalibrated"
	FlawInferred     FlawKind = "inferred full throttle"
	FlawOther        FlawKind = "other"
)

// Flaw is something that makes a comparison less than fair, and what it does
// to the word.
type Flaw struct {
	Kind FlawKind
	Text string
	// Blocks says that nothing may be concluded: the word is "not comparable".
	Blocks bool

	// The kind and the subject of the answer's warning that says the same; empty:
	// none.
	warning estimate.Kind
	subject string
}

// warmStart is by how much coolant is above the outside air in an engine that
// was driven not long ago. Common practice, no source.
const warmStart = 15.0 // K

// swappedFrom is by how much an intake must be below the outside air to be
// taken for another probe: two that were never compared differ by 2 K. Common
// practice, no source.
const swappedFrom = 3.0 // K

// exchanged is by how much two probes of the usual class, ±2.5 K each, may
// differ at most in use; uncompared what a rise may be off by. Common practice,
// no source.
const exchanged, uncompared = 4.0, 2.0 // K

// kelvins writes a difference in K for the owner.
func (a *Answer) kelvins(verb string, difference float64) string {
	return a.Units.Say(quantity.KindTemperatureDifference, verb, difference)
}

// flawsOfAll are those that concern every kind of driving.
func (a *Answer) flawsOfAll(mounting campaign.Mounting) []Flaw {
	var all []Flaw
	if a.Order.OneAfterTheOther {
		all = append(all, Flaw{Kind: FlawOrder, Text: a.Order.String() + " " + a.driftAllowed(), warning: OneOrder})
	}
	if a.Order.Changes == 0 && a.count(a.Before) > 0 && a.count(a.After) > 0 {
		all = append(all, Flaw{Kind: FlawOrder, Text: "the drives carry no dates, so that their order is not known: whatever changed in time may look like the effect"})
	}
	all = append(all, a.warmStarts()...)
	all = append(all, a.swapped()...)
	all = append(all, a.unlike()...)
	all = append(all, a.warmByRule()...)
	all = append(all, a.doubtfulWeather()...)
	switch mounting {
	case campaign.Refitted:
		all = append(all, Flaw{Kind: FlawMounting, Text: fmt.Sprintf("the intake's probe was taken out and put back between the configurations: it may read differently for that alone (standard uncertainty %s), and the interval allows for it", a.kelvins("%.1f", a.Rules.Priors.Refit.Kelvins()))})
	case campaign.Exchanged:
		all = append(all, Flaw{Kind: FlawMounting, Text: fmt.Sprintf("the intake's probe was exchanged between the configurations: two probes of the usual class may differ by %s, and the interval allows for it; put both into one cup of water", a.kelvins("%.0f", exchanged))})
	}
	var stated []string
	for _, r := range a.Runs {
		if c, ok := r.Drive.Channels[drive.Ambient]; ok && c.ThisDrive && !a.countsNowhere(r.Drive.Name) {
			stated = append(stated, fmt.Sprintf("%q", r.Drive.Name))
		}
	}
	if len(stated) > 0 {
		all = append(all, Flaw{Kind: FlawProbe, Text: fmt.Sprintf("no probe measured the outside air in %s: one value was stated for each drive, and the interval allows for what it is off by", strings.Join(stated, ", "))})
	}
	for _, r := range a.Runs {
		if c, ok := r.Drive.Channels[drive.Intake]; ok && c.Uncertainty == 0 {
			all = append(all, Flaw{Kind: FlawUncalibrated, Text: fmt.Sprintf("the probes were not compared side by side: the rise itself may be off by %s; a change by the same probes in the same places is not", a.kelvins("%.0f", uncompared))})
			break
		}
	}
	return all
}

// warmStarts finds drives of one side that began with a warm engine while none
// of the other did.
func (a *Answer) warmStarts() []Flaw {
	warm := map[string][]string{}
	for _, r := range a.Runs {
		if !a.countsNowhere(r.Drive.Name) && beganWarm(r) {
			warm[r.Drive.Configuration] = append(warm[r.Drive.Configuration], fmt.Sprintf("%q", r.Drive.Name))
		}
	}
	before, after := warm[a.Before], warm[a.After]
	if (len(before) == 0) == (len(after) == 0) {
		return nil
	}
	side := a.Before
	if len(after) > 0 {
		side = a.After
	}
	return []Flaw{{Kind: FlawWarmStart, Blocks: true, Text: fmt.Sprintf("with %q drives began with a warm engine (%s), with the other none did: bay and intake are then hotter for half an hour; start all drives alike, or leave these out", side, strings.Join(append(before, after...), ", "))}}
}

func beganWarm(r Run) bool {
	if r.Warm().Outcome == warm.AtStart && r.Opening.Outcome != thermostat.StuckOpen {
		return true
	}
	ambient, err := r.Drive.Channel(drive.Ambient)
	if err != nil {
		return false
	}
	begin := r.Drive.Interval()
	begin.To = begin.From + 120
	for _, role := range []drive.Role{drive.Coolant, drive.TopTank} {
		if s, err := r.Drive.Channel(role); err == nil && s.Median(begin)-ambient.Median(begin) > warmStart {
			return true
		}
	}
	return false
}

// swapped finds drives in which the intake or the ambient probe seems to be
// another one.
func (a *Answer) swapped() (all []Flaw) {
	var heated []string
	var sizes []float64
	for _, r := range a.Runs {
		if a.countsNowhere(r.Drive.Name) {
			continue
		}
		for _, c := range r.Checks() {
			concerns := slices.Contains(c.Roles, drive.Intake) || slices.Contains(c.Roles, drive.Ambient)
			below := c.Suspicion == drive.IntakeBelowAmbient
			if below && (c.Size < swappedFrom || !doubt.MostlyBelow(r.Drive)) {
				all = append(all, Flaw{Kind: FlawProbe, Text: fmt.Sprintf("drive %q: %s", r.Drive.Name, c.Message)})
			} else if concerns && (c.Suspicion == drive.ChannelsSwapped || below) {
				all = append(all, Flaw{Kind: FlawRoles, Blocks: true, Text: fmt.Sprintf("drive %q: %s; put that right, or leave the drive out", r.Drive.Name, c.Message)})
			}
			if c.Suspicion == drive.AmbientHeated {
				heated, sizes = append(heated, fmt.Sprintf("drive %q: %s", r.Drive.Name, c.Message)), append(sizes, c.Size)
			}
		}
	}
	for i, tells := range doubt.Telling(sizes, len(a.Runs)) {
		if tells {
			all = append(all, Flaw{Kind: FlawProbe, Text: heated[i]})
		}
	}
	return all
}

// unlike finds drives in which a device's file is unlike those of the others.
func (a *Answer) unlike() []Flaw {
	var all []Flaw
	for _, r := range a.Runs {
		if a.countsNowhere(r.Drive.Name) {
			continue
		}
		for _, n := range r.Drive.Notes {
			text := fmt.Sprintf("drive %q, %s: %s", r.Drive.Name, n.Subject, n.Text)
			switch n.Kind {
			case drive.DoubtedByRest:
				all = append(all, Flaw{Kind: FlawRoles, Blocks: true, Text: text + "; put it right, or leave the drive out"})
			case drive.UnlikeOthers:
				all = append(all, Flaw{Kind: FlawProbe, Text: text})
			}
		}
	}
	return all
}

// kinds says what the flaws of a difference are called in an answer.
var kinds = map[estimate.Kind]FlawKind{
	compare.FewDrives: FlawFewDrives, compare.Weather: FlawWeather, compare.Traffic: FlawRoute, compare.Route: FlawRoute,
	compare.WarmUp: FlawWarmStart, compare.Outlier: FlawOutlier, compare.OtherProbe: FlawMounting, compare.LoneDrive: FlawFewDrives,
}

// flawsOf are those of one kind of driving. What blocks it has taken its word
// already.
func (a *Answer) flawsOf(d compare.Difference) []Flaw {
	var all []Flaw
	if n, m := d.Before.Drives, d.After.Drives; a.Before == "" || a.After == "" {
		all = append(all, Flaw{Kind: FlawFewDrives, Blocks: true, Text: "all drives have one configuration: a comparison needs drives with another"})
	} else if n == 0 || m == 0 {
		all = append(all, Flaw{Kind: FlawFewDrives, Blocks: true, Text: fmt.Sprintf("%d drives with %q and %d with %q have it: each side needs some", n, a.Before, m, a.After)})
	} else if compare.OfOne(n, m) {
		all = append(all, Flaw{Kind: FlawFewDrives, Text: fmt.Sprintf("%d drives with %q and %d with %q have it: how far the side of one scatters is taken from the other side and from other cars; whether its one drive was an odd one nobody can tell, so that cooler or warmer is said only of a change that is larger than what such a drive is off by", n, a.Before, m, a.After)})
	} else if min(n, m) == 2 {
		all = append(all, Flaw{Kind: FlawFewDrives, Text: fmt.Sprintf("%d drives with %q and %d with %q have it: two that agree say little of how far such drives scatter, and most of the interval's width is what other cars do", n, a.Before, m, a.After)})
	}
	for _, f := range d.Flaws {
		kind, ok := kinds[f.Kind]
		if !ok {
			kind = FlawOther
		}
		all = append(all, Flaw{Kind: kind, Text: f.Text, Blocks: slices.Contains(d.Blocking, f.Kind), warning: f.Kind, subject: f.Subject})
	}
	if d.AtFullThrottle && !a.Looked && slices.ContainsFunc(a.Runs, inferred) {
		all = append(all, Flaw{Kind: FlawInferred, Text: "no channel shows the throttle: full throttle is inferred from speed, acceleration and grade; say in the campaign what each pull was: [[drive.full-throttle]] with from, to, and was = \"full\" or \"not full\""})
	}
	return all
}

// inferred reports whether a run has full throttle that neither a channel shows
// nor the owner states.
func inferred(r Run) bool {
	return slices.ContainsFunc(r.Segments, func(s segment.Segment) bool {
		return s.Kind == segment.FullThrottle && pull(r, s).inferred()
	})
}
