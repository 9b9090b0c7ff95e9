package verdict

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
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
	// Widens is by how much either end of the interval is moved out.
	Widens quantity.TemperatureDifference
}

// The limits of what is fair. But for the first two they are common practice,
// no source.
const (
	// rangeShare is by how much of its range the weather "after" may leave that
	// "before" (CalTRACK 2.0, 3.7.5.2); with few drives the range is small by
	// chance, so that some kelvins are always allowed.
	rangeShare  = 0.1
	rangeAtBest = 2.0 // K
	// ambientSlope bounds by how much a rise follows the outside air: a rise in
	// proportion to coolant less ambient gives 0.1 K/K.
	ambientSlope = 0.15 // K/K
	// refitError and exchangeError are what a probe may read differently once it
	// was taken out and put back, and what another one may (tolerance of class 2,
	// IEC 60584-1, 2.5 K each, twice at random).
	refitError    = 1.5 // K
	exchangeError = 3.5 // K
	// warmStart is by how much coolant is above the outside air in an engine
	// that was driven not long ago.
	warmStart = 15.0 // K
)

// flawsOfAll are those that concern every kind of driving.
func (a *Answer) flawsOfAll(mounting campaign.Mounting) []Flaw {
	var all []Flaw
	if a.Order.OneAfterTheOther {
		all = append(all, Flaw{Kind: FlawOrder, Blocks: true, Text: a.Order.String()})
	}
	if a.Order.Changes == 0 && a.count(a.Before) > 0 && a.count(a.After) > 0 {
		all = append(all, Flaw{Kind: FlawOrder, Text: "the drives carry no dates, so that their order is not known: whatever changed in time may look like the effect"})
	}
	all = append(all, a.warmStarts()...)
	all = append(all, a.swapped()...)
	switch mounting {
	case campaign.Refitted:
		all = append(all, Flaw{Kind: FlawMounting, Widens: refitError, Text: fmt.Sprintf("the intake's probe was taken out and put back between the configurations: it may read up to %.1f K differently for that alone, which is allowed for", refitError)})
	case campaign.Exchanged:
		all = append(all, Flaw{Kind: FlawMounting, Widens: exchangeError, Text: fmt.Sprintf("the intake's probe was exchanged between the configurations: two probes may differ by %.1f K, which is allowed for; put both into one cup of water", exchangeError)})
	}
	for _, r := range a.Runs {
		if c, ok := r.Drive.Channels[drive.Intake]; ok && c.Uncertainty == 0 {
			all = append(all, Flaw{Kind: FlawUncalibrated, Text: "the probes were not compared side by side: the rise itself may be off by 2 K; a change by the same probes in the same places is not"})
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
	if r.Opening.Outcome == thermostat.AlreadyOpen {
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
func (a *Answer) swapped() []Flaw {
	var all []Flaw
	for _, r := range a.Runs {
		if a.countsNowhere(r.Drive.Name) {
			continue
		}
		for _, c := range r.Drive.Checks() {
			concerns := slices.Contains(c.Roles, drive.Intake) || slices.Contains(c.Roles, drive.Ambient)
			if concerns && (c.Suspicion == drive.ChannelsSwapped || c.Suspicion == drive.IntakeBelowAmbient) {
				all = append(all, Flaw{Kind: FlawRoles, Blocks: true, Text: fmt.Sprintf("drive %q: %s; put the roles right, or leave the drive out", r.Drive.Name, c.Message)})
			}
			if c.Suspicion == drive.AmbientHeated {
				all = append(all, Flaw{Kind: FlawProbe, Text: fmt.Sprintf("drive %q: %s", r.Drive.Name, c.Message)})
			}
		}
	}
	return all
}

// flawsOf are those of one kind of driving.
func (a *Answer) flawsOf(d compare.Difference) []Flaw {
	var all []Flaw
	if n, m := d.Before.Drives, d.After.Drives; n < 2 || m < 2 {
		all = append(all, Flaw{Kind: FlawFewDrives, Blocks: true, Text: fmt.Sprintf("%d drives with %q and %d with %q have it, and one drive a side can't tell chance from change: two at least are needed, three are better", n, a.Before, m, a.After)})
	}
	all = append(all, a.weather(d)...)
	for _, f := range d.Flaws {
		switch f.Kind {
		case compare.Traffic:
			all = append(all, Flaw{Kind: FlawRoute, Blocks: true, Text: f.Text})
		case compare.WarmUp:
			all = append(all, Flaw{Kind: FlawWarmStart, Blocks: true, Text: f.Text})
		case compare.Copies:
			all = append(all, Flaw{Kind: FlawOther, Blocks: true, Text: f.Text})
		}
	}
	if d.AtFullThrottle && slices.ContainsFunc(a.Runs, func(r Run) bool { return !r.Drive.Has(drive.Throttle) }) {
		all = append(all, Flaw{Kind: FlawInferred, Text: "no channel shows the throttle: full throttle is inferred from how the car accelerates"})
	}
	return all
}

// weather compares the outside air of the two sides of a kind of driving.
func (a *Answer) weather(d compare.Difference) []Flaw {
	var before, after []float64
	for _, r := range a.Rises {
		if r.Identity() != d.Identity() || math.IsNaN(float64(r.Mean)) {
			continue
		}
		switch r.Configuration {
		case a.Before:
			before = append(before, r.Ambient.Celsius())
		case a.After:
			after = append(after, r.Ambient.Celsius())
		}
	}
	if len(before) == 0 || len(after) == 0 {
		return nil
	}
	low, high := slices.Min(before), slices.Max(before)
	margin := max(rangeShare*(high-low), rangeAtBest)
	if slices.Min(after) >= low-margin && slices.Max(after) <= high+margin {
		return nil
	}
	text := fmt.Sprintf("%.0f to %.0f °C outside before, %.0f to %.0f °C after", low, high, slices.Min(after), slices.Max(after))
	apart := mean(after) - mean(before)
	if m := mean(after); m < low-margin || m > high+margin {
		return []Flaw{{Kind: FlawWeather, Blocks: true, Text: text + ": the rise may follow the weather, and no drive before shows how; drive both on days alike"}}
	}
	return []Flaw{{Kind: FlawWeather, Widens: quantity.KelvinDifference(ambientSlope * math.Abs(apart)), Text: text + fmt.Sprintf(": up to %.2g K for each kelvin of difference is allowed for", ambientSlope)}}
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}
