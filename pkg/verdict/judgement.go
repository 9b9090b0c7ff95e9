package verdict

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/contrast"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/plan"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Word is what may be said of a kind of driving.
type Word string

// The words, as [compare.Verdict.ID] has them.
const (
	SaysCooler    Word = "cooler"
	SaysWarmer    Word = "warmer"
	SaysWithin    Word = "within"
	SaysUndecided Word = "undecided"
	SaysNothing   Word = "not comparable"
)

// Judgement is the answer with its word for each kind of driving, and with what
// may not be said and why. Whoever shows an answer reads this; how the numbers
// come about is not its business.
type Judgement struct {
	Before, After string
	// Primary is the kind of driving that counts, Delta the difference that does
	// not matter.
	Primary compare.StratumID
	Delta   quantity.TemperatureDifference
	Strata  []StratumJudgement
	// Flaws are those of all kinds of driving, and of the primary one; Remarks is
	// what else to know before the answer is trusted: those of [Answer.Warnings]
	// that no flaw has told.
	Flaws     []Flaw
	Remarks   []estimate.Warning
	Influence []contrast.Without
	// Pulls are the stretches that were taken for full throttle, and those that may
	// have been.
	Pulls []Pull
	// Points are the drives' rises in the primary kind of driving.
	Points []Point
	Power  Power
	Drives []DriveRow
	Next   []plan.Step
	// Stop says whether these drives are enough for somebody who looks after
	// each of them.
	Stop plan.Stopping
	// More is what more drives would do to the interval.
	More plan.More
	// Mounting is what the campaign says of the intake's probe.
	Mounting campaign.Mounting
	// Order is how the two configurations followed one another.
	Order compare.TimeOrder
	// Control is the probe by which a drift is taken from the change; empty: none.
	Control drive.Role
	// Units are those of the sentence.
	Units quantity.Preferred
	// Intakes holds what each of several intake probes says in the primary kind
	// of driving.
	Intakes []IntakeChange
	// WarmBasis says by what the engine counts as warm, where that is not the
	// opening of its thermostat in every drive; else empty.
	WarmBasis string
}

// StratumJudgement is what may be said of one kind of driving.
type StratumJudgement struct {
	ID   compare.StratumID
	Name string
	// Change is after minus before in K with its interval; Before and After are
	// the rises.
	Change, Before, After     estimate.Estimate
	DrivesBefore, DrivesAfter int
	Word                      Word
	Flaws                     []Flaw
}

// Point is one drive's rise in the primary kind of driving.
type Point struct {
	Drive, Configuration string
	Start                time.Time
	Rise                 quantity.TemperatureDifference
	Ambient              quantity.Temperature
}

// Judge says what may be said. mounting is what the campaign says of the
// intake's probe; the primary kind of driving and the difference that does not
// matter are those of the question.
func (a *Answer) Judge(mounting campaign.Mounting) Judgement {
	j := Judgement{Before: a.Before, After: a.After, Primary: a.primary(), Delta: a.Rules.Delta, More: plan.More{Narrower: math.NaN()},
		Power: a.Power, Pulls: a.Pulls, Drives: a.Drives(), Next: a.Next, Mounting: mounting, Order: a.Order, WarmBasis: a.warmBasis(), Intakes: a.Intakes, Units: a.Units}
	j.Control, _ = a.control()
	common := a.flawsOfAll(mounting)
	j.Flaws = slices.Clone(common)
	for _, d := range a.differences() {
		own := a.flawsOf(d)
		s := StratumJudgement{ID: d.Identity(), Name: d.Stratum, Change: d.Change, Before: d.Before.Rise, After: d.After.Rise,
			DrivesBefore: d.Before.Drives, DrivesAfter: d.After.Drives, Flaws: own}
		s.Word = word(d, append(slices.Clone(common), own...))
		if s.ID == j.Primary {
			j.Flaws = append(j.Flaws, own...)
			j.Influence = d.Influence
			if j.Stop = plan.MayStop(d, a.Rules.Level); s.Word == SaysNothing {
				j.Stop.Stop, j.Stop.Word = false, compare.NotComparable
			}
			j.Points, j.More = a.points(d), plan.Ahead(d, a.Before, a.After)
		} else if s.DrivesBefore > 0 && s.DrivesAfter > 0 {
			j.Flaws = append(j.Flaws, blockedBeside(s)...)
		}
		j.Strata = append(j.Strata, s)
	}
	j.Flaws = append(j.Flaws, j.inferred()...)
	j.Remarks = a.notTold(j.Flaws)
	return j
}

// blockedBeside are the flaws that block a kind of driving beside the one that
// counts: they block it alone.
func blockedBeside(s StratumJudgement) (all []Flaw) {
	for _, f := range s.Flaws {
		if f.Blocks {
			f.Blocks, f.Text = false, fmt.Sprintf("%s can't be compared: %s", s.Name, f.Text)
			all = append(all, f)
		}
	}
	return all
}

// inferred is what the power rests on where nobody and no channel says that the
// pulls were at full throttle.
func (j Judgement) inferred() []Flaw {
	if _, _, ok := j.PowerRange(); !ok {
		return nil
	}
	s, err := j.Stratum(j.Power.Worths[0].Difference.Identity())
	if err != nil || s.ID == j.Primary {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(s.Flaws), func(f Flaw) bool { return f.Kind != FlawInferred })
}

// notTold are the warnings that none of the flaws has said already.
func (a *Answer) notTold(flaws []Flaw) (rest []estimate.Warning) {
	for _, w := range a.Warnings {
		if !slices.ContainsFunc(flaws, func(f Flaw) bool { return f.tells(w) }) {
			rest = append(rest, w)
		}
	}
	return rest
}

// tells reports whether the flaw is what the warning warns of.
func (f Flaw) tells(w estimate.Warning) bool {
	return f.warning == w.Kind && f.subject == w.Subject
}

// primary is the kind of driving that counts.
func (a *Answer) primary() compare.StratumID {
	for _, d := range a.Differences {
		if d.Primary {
			return d.Identity()
		}
	}
	return cmp.Or(a.Rules.Primary, compare.RoadMiddle)
}

// points are the drives of one kind of driving, in order of time.
func (a *Answer) points(d compare.Difference) []Point {
	starts := map[string]time.Time{}
	for _, r := range a.Runs {
		starts[r.Drive.Name] = r.Drive.Start
	}
	var all []Point
	for _, r := range a.Rises {
		if r.Identity() == d.Identity() && !math.IsNaN(float64(r.Mean)) {
			all = append(all, Point{r.Drive, r.Configuration, starts[r.Drive], r.Mean, r.Ambient})
		}
	}
	slices.SortStableFunc(all, func(x, y Point) int { return x.Start.Compare(y.Start) })
	return all
}

// differences are those of the answer; where one side has no drive, one for
// each stratum in which nothing is known.
func (a *Answer) differences() []compare.Difference {
	if len(a.Differences) > 0 {
		return a.Differences
	}
	var all []compare.Difference
	for _, s := range compare.DefaultStrata() {
		d := compare.Difference{Stratum: s.In(a.Units), Units: a.Units, ID: s.Identity(), AtFullThrottle: s.AtFullThrottle()}
		kelvin := a.Units.Of(quantity.KindTemperatureDifference)
		for _, e := range []*estimate.Estimate{&d.Change, &d.Before.Rise, &d.After.Rise} {
			*e = estimate.Unknown(d.Stratum, kelvin, "one configuration has no drive")
		}
		for _, r := range a.Rises {
			if r.Identity() != d.ID || math.IsNaN(float64(r.Mean)) {
				continue
			}
			if r.Configuration == a.Before {
				d.Before.Drives++
			} else {
				d.After.Drives++
			}
		}
		all = append(all, d)
	}
	return all
}

// word is the difference's, unless a flaw of the whole campaign blocks it.
func word(d compare.Difference, flaws []Flaw) Word {
	if slices.ContainsFunc(flaws, func(f Flaw) bool { return f.Blocks }) || !d.Change.Known() {
		return SaysNothing
	}
	return Word(d.Verdict.ID())
}

// StopText answers "may I stop now?" in a sentence; empty where nothing can be
// compared.
func (j Judgement) StopText() string {
	if s, err := j.Stratum(j.Primary); err != nil || s.Word == SaysNothing || j.Stop.Looks == 0 {
		return ""
	}
	return j.Stop.String()
}

// Stratum returns the judgement of that ID; the error names those that there
// are.
func (j Judgement) Stratum(id compare.StratumID) (StratumJudgement, error) {
	var ids []compare.StratumID
	for _, s := range j.Strata {
		if s.ID == id {
			return s, nil
		}
		ids = append(ids, s.ID)
	}
	return StratumJudgement{}, fmt.Errorf("there is no kind of driving %q; there are %q", id, ids)
}

// Nothing is the judgement of a campaign in which nothing can be compared at
// all: one configuration only, or no drive that holds. It says why, which
// drives were left out, and what to do.
func Nothing(before, after string, rules compare.Rules, why Flaw, leftOut []drive.LeftOut, next ...Step) Judgement {
	a := &Answer{Before: before, After: after, Rules: rules, LeftOut: leftOut}
	j := a.Judge(campaign.InPlace)
	why.Blocks = true
	j.Flaws = []Flaw{why}
	for i := range j.Strata {
		j.Strata[i].Flaws = nil
	}
	j.Next = next
	j.Power.Warnings = []estimate.Warning{{Kind: PowerNotKnown, Text: "No power is told: nothing can be compared."}}
	return j
}

// Step is one thing to do next, with its reason.
type Step = plan.Step

// Missing lists what drives lack that a comparison needs.
func Missing(drives []*drive.Drive) []Step { return plan.Missing(drives) }
