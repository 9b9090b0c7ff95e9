package verdict

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/plan"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/warm"
)

// Kinds of warnings of an answer, beside those of package estimate.
const (
	OneSided       estimate.Kind = "one side"         // a configuration has no drive that holds
	OneOrder       estimate.Kind = "order"            // all drives of one side come first
	NothingCounts  estimate.Kind = "nothing counts"   // a drive has no stretch that may be compared
	NoFullThrottle estimate.Kind = "no full throttle" // none on both sides
	PowerNotKnown  estimate.Kind = "power not known"  // the change can't be turned into power
	// MaybeFullThrottle: stretches that may have been at full throttle count as
	// nothing, since no channel and nobody says so.
	MaybeFullThrottle estimate.Kind = "maybe full throttle"
)

// warn collects what to know before the answer is trusted.
func (a *Answer) warn(rules compare.Rules) {
	add := func(k estimate.Kind, subject, text string) {
		a.Warnings = append(a.Warnings, estimate.Warning{Kind: k, Subject: subject, Text: text})
	}
	if a.After == "" {
		add(OneSided, a.Before, fmt.Sprintf("all drives are of one configuration, %q, and it can't be compared with itself; drive with another one", a.Before))
	}
	for _, name := range []string{a.Before, a.After} {
		if name != "" && a.count(name) == 0 {
			add(OneSided, name, "no drive with it holds, so nothing can be compared; drive with it, or repair what was left out")
		}
	}
	if a.Order.OneAfterTheOther {
		add(OneOrder, "", a.Order.String())
	}
	for _, r := range a.Runs {
		for _, c := range r.Checks() {
			if c.Suspicion == drive.ClockNotAligned {
				add(estimate.ClockDoubtful, r.Drive.Name, c.Message)
			}
		}
		for _, n := range asked(r) {
			add(n.Kind, r.Drive.Name, n.Text)
		}
		if a.countsNowhere(r.Drive.Name) {
			add(NothingCounts, r.Drive.Name, whyNothing(r, rules))
		}
	}
	for _, d := range a.Differences { // six strata of the same drives share most flaws: those of the question, and what blocks another
		if d.Primary || d.Verdict == compare.NotComparable {
			a.Warnings = append(a.Warnings, d.Flaws...)
		}
	}
	a.Warnings = append(a.Warnings, a.Power.Warnings...)
}

func (a *Answer) countsNowhere(name string) bool {
	for _, r := range a.Rises {
		if r.Drive == name && !math.IsNaN(float64(r.Mean)) {
			return false
		}
	}
	return true
}

// sayBrisk says how many stretches may have been at full throttle where too few
// certainly were.
func (a *Answer) sayBrisk() {
	n := 0
	for _, p := range a.Pulls {
		if p.Brisk {
			n++
		}
	}
	if n == 0 || !estimate.Has(a.Power.Warnings, NoFullThrottle) {
		return
	}
	text := fmt.Sprintf("%d brisk stretches may have been at full throttle and count as nothing: say in the campaign what each was, [[drive.full-throttle]] with from, to, and was = \"full\" or \"not full\".", n)
	if slices.ContainsFunc(a.Runs, func(r Run) bool { return r.Drive.RatedPower <= 0 || r.Drive.Mass <= 0 }) {
		text += " With the car's mass and the engine's rated power in the campaign, many tell themselves."
	}
	a.Power.Warnings = append(a.Power.Warnings, estimate.Warning{Kind: MaybeFullThrottle, Text: text})
}

// sayWhenWarm is what to do where drives count nowhere since nothing shows when
// their engine was warm; nothing where each shows it.
func (a *Answer) sayWhenWarm() []plan.Step {
	var blind []string
	for _, r := range a.Runs {
		if a.countsNowhere(r.Drive.Name) && r.Warm().Outcome == warm.NotKnown {
			blind = append(blind, fmt.Sprintf("%q", r.Drive.Name))
		}
	}
	if len(blind) == 0 {
		return nil
	}
	return []plan.Step{{Do: `say in the campaign when the engine counts as warm: [warm] with after = "15 min", distance = "8 km", or role and above; drafting with -answer "warm=after=15 min" writes it`,
		Why: "nothing shows the thermostat's opening in " + strings.Join(blind, ", ") + ", and what the engine gives off while it warms up may not be compared"}}
}

// whyNothing names what keeps most of a run's time from being compared.
func whyNothing(r Run, rules compare.Rules) string {
	time := map[segment.Cause]float64{}
	most := segment.NoCause
	for _, s := range r.Segments {
		time[s.Unsettled] += s.Interval.Duration()
		if s.Unsettled != segment.NoCause && time[s.Unsettled] > time[most] {
			most = s.Unsettled
		}
	}
	text := fmt.Sprintf("no stretch of it may be compared: mostly, %v", most)
	switch most {
	case segment.NoCause:
		text = fmt.Sprintf("no stretch of it may be compared: none belongs to a stratum for %g s, or the %s channel has no readings there", rules.MinimumTime, rules.Role)
	case segment.OpeningUnknown:
		text += "; " + r.Warm().Reason
		if !r.Drive.Warming.AirCooled {
			text += "; a probe on the radiator's top tank would tell, or say in the campaign when the engine counts as warm: [warm] with after, distance, or role and above"
		}
	}
	return text
}

// asked is what was asked about the weather of a drive as it was stated.
func asked(r Run) (all []estimate.Warning) {
	for _, n := range r.Drive.Notes {
		switch n.Kind {
		case air.PressureDoubtful, air.HumidityDoubtful, air.AltitudeDoubtful:
			all = append(all, n)
		}
	}
	return all
}

// doubtfulWeather tells it with the flaws, where everybody reads it.
func (a *Answer) doubtfulWeather() (all []Flaw) {
	for _, r := range a.Runs {
		for _, n := range asked(r) {
			text := fmt.Sprintf("drive %q: %s (until it is put right in the campaign, what the change is worth in power is less sure)", r.Drive.Name, n.Text)
			all = append(all, Flaw{Kind: FlawWeather, Text: text, warning: n.Kind, subject: r.Drive.Name})
		}
	}
	return all
}
