package verdict

import (
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/plan"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Word is what may be said of a kind of driving.
type Word string

// The words. Each is earned: cooler and warmer by an interval that does not
// reach zero, within by a 90 % interval inside of what does not matter
// (two one-sided tests, Schuirmann 1987).
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
	// Flaws are those of all kinds of driving, and of the primary one.
	Flaws     []Flaw
	Influence []Influence
	// Points are the drives' rises in the primary kind of driving.
	Points []Point
	Power  Power
	Drives []DriveRow
	Next   []plan.Step
	// Mounting is what the campaign says of the intake's probe.
	Mounting campaign.Mounting
	// Order is how the two configurations followed one another.
	Order compare.TimeOrder
}

// StratumJudgement is what may be said of one kind of driving.
type StratumJudgement struct {
	ID   compare.StratumID
	Name string
	// Change is after minus before in K with its interval, widened by what the
	// flaws ask for; Before and After are the rises.
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

// Influence is what the answer on the primary kind of driving would be without
// one drive.
type Influence struct {
	Drive         string
	ChangeWithout float64 // K; NaN where too little is left
	// Odd says that the drive is far from the others of its configuration.
	Odd bool
}

// Judge says what may be said. settings name the primary kind of driving, the
// difference that does not matter and what became of the probe; its zero
// fields take the usual ones.
func (a *Answer) Judge(settings campaign.Question) Judgement {
	j := Judgement{Before: a.Before, After: a.After, Primary: compare.StratumID(settings.Primary), Delta: settings.Delta,
		Power: a.Power, Drives: a.Drives(), Next: a.Next, Mounting: settings.Mounting, Order: a.Order}
	if j.Primary == "" {
		j.Primary = compare.RoadMiddle
	}
	if j.Delta == 0 {
		j.Delta = 3
	}
	common := a.flawsOfAll(settings.Mounting)
	j.Flaws = slices.Clone(common)
	for _, d := range a.differences() {
		own := a.flawsOf(d)
		s := StratumJudgement{ID: d.Identity(), Name: d.Stratum, Change: d.Change, Before: d.Before.Rise, After: d.After.Rise,
			DrivesBefore: d.Before.Drives, DrivesAfter: d.After.Drives, Flaws: own}
		s.Change.Interval = widened(d.Change.Interval, append(slices.Clone(common), own...))
		j.Power = j.Power.widened(s)
		s.Word = word(d, s.Change, j.Delta, append(slices.Clone(common), own...))
		if s.ID == j.Primary {
			j.Flaws = append(j.Flaws, own...)
			j.Influence = a.influence(d)
			j.Points = a.points(d)
			for _, i := range j.Influence {
				if i.Odd {
					j.Flaws = append(j.Flaws, Flaw{Kind: FlawOutlier, Text: fmt.Sprintf("drive %q is far from the others of its configuration; without it the change would be %+.1f K", i.Drive, i.ChangeWithout)})
				}
			}
		}
		j.Strata = append(j.Strata, s)
	}
	return j
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
		d := compare.Difference{Stratum: s.Name, ID: s.Identity(), AtFullThrottle: s.AtFullThrottle(), PValue: math.NaN()}
		kelvin := quantity.KindTemperatureDifference.SI()
		for _, e := range []*estimate.Estimate{&d.Change, &d.Before.Rise, &d.After.Rise} {
			*e = estimate.Unknown(s.Name, kelvin, "one configuration has no drive")
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

// widened returns power with the worth of one kind of driving worked out for
// the widened interval of its change.
func (p Power) widened(s StratumJudgement) Power {
	p.Worths = slices.Clone(p.Worths)
	for i, w := range p.Worths {
		if w.Difference.Identity() != s.ID || w.Difference.Change.Interval == s.Change.Interval {
			continue
		}
		d := w.Difference
		d.Change = s.Change
		if wider, err := compare.PowerOf(d, p.Outside); err == nil {
			p.Worths[i] = wider
		} else {
			p.Worths[i].Power = estimate.Unknown(w.Power.Name, w.Power.Unit, err.Error())
		}
	}
	return p
}

func widened(v estimate.Interval, flaws []Flaw) estimate.Interval {
	by := 0.0
	for _, f := range flaws {
		by += f.Widens.Kelvins()
	}
	v.Low, v.High = v.Low-by, v.High+by
	return v
}

// word chooses by the interval and the flaws.
func word(d compare.Difference, change estimate.Estimate, delta quantity.TemperatureDifference, flaws []Flaw) Word {
	if slices.ContainsFunc(flaws, func(f Flaw) bool { return f.Blocks }) || !change.Known() || d.Verdict == compare.TooFewDrives {
		return SaysNothing
	}
	inner := widened(d.Change.AtLevel(0.90), flaws)
	switch v := change.Interval; {
	case v.High < 0:
		return SaysCooler
	case v.Low > 0:
		return SaysWarmer
	case inner.Known() && inner.Low > -delta.Kelvins() && inner.High < delta.Kelvins():
		return SaysWithin
	}
	return SaysUndecided
}

// The limits of an odd drive: that many kelvins, and that many times what the
// other drives of its side scatter. Common practice, no source.
const (
	oddAtLeast = 3.0
	oddTimes   = 4.0
)

// influence leaves out each drive in turn.
func (a *Answer) influence(d compare.Difference) []Influence {
	side := map[string][]compare.DriveRise{}
	for _, r := range a.Rises {
		if r.Identity() == d.Identity() && !math.IsNaN(float64(r.Mean)) {
			side[r.Configuration] = append(side[r.Configuration], r)
		}
	}
	var all []Influence
	for _, name := range []string{a.Before, a.After} {
		other := a.After
		if name == a.After {
			other = a.Before
		}
		for i, r := range side[name] {
			rest := slices.Delete(slices.Clone(side[name]), i, i+1)
			out := Influence{Drive: r.Drive, ChangeWithout: math.NaN()}
			if len(rest) > 0 && len(side[other]) > 0 {
				out.ChangeWithout = meanRise(side[other]) - meanRise(rest)
				if name == a.After {
					out.ChangeWithout = -out.ChangeWithout
				}
			}
			if len(rest) >= 2 {
				far := math.Abs(float64(r.Mean) - meanRise(rest))
				out.Odd = far > oddAtLeast && far > oddTimes*max(scatter(rest), 0.5)
			}
			all = append(all, out)
		}
	}
	return all
}

func meanRise(rises []compare.DriveRise) float64 {
	x := make([]float64, len(rises))
	for i, r := range rises {
		x[i] = float64(r.Mean)
	}
	return mean(x)
}

func scatter(rises []compare.DriveRise) float64 {
	m, sum := meanRise(rises), 0.0
	for _, r := range rises {
		sum += (float64(r.Mean) - m) * (float64(r.Mean) - m)
	}
	return math.Sqrt(sum / float64(len(rises)-1))
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

// Nothing is the judgement of a campaign in which there are no two
// configurations to compare, with what to do about it.
func Nothing(before, after string, settings campaign.Question, kind FlawKind, text, do, why string) Judgement {
	a := &Answer{Before: before, After: after}
	j := a.Judge(settings)
	j.Flaws = []Flaw{{Kind: kind, Text: text, Blocks: true}}
	for i := range j.Strata {
		j.Strata[i].Flaws = nil
	}
	j.Next = []plan.Step{{Do: do, Why: why}}
	j.Power.Warnings = []estimate.Warning{{Kind: PowerNotKnown, Text: "No power is told: nothing can be compared."}}
	return j
}
