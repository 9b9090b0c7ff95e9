package verdict

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/plan"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// toldOf is a judgement with a word for two kinds of driving, power and more drives.
func toldOf(word, secondary Word) Judgement {
	change := func(middle float64) estimate.Estimate {
		return estimate.Between("change", middle, quantity.KindTemperatureDifference.Shown(), estimate.Interval{Low: middle - 1.5, High: middle + 2.5, Level: 0.95}, estimate.BetweenDrives, math.Inf(1))
	}
	j := Judgement{Before: "open", After: "duct", Primary: compare.RoadMiddle, Delta: 3, Mounting: campaign.InPlace, Order: compare.TimeOrder{Changes: 3},
		Strata: []StratumJudgement{
			{ID: compare.RoadMiddle, Name: "road 60 to 95 km/h", Word: word, Change: change(-7.25), DrivesBefore: 3, DrivesAfter: 4},
			{ID: compare.StopAndGo, Name: "stop-and-go", Word: secondary, Change: change(-12.75), DrivesBefore: 5, DrivesAfter: 2},
			{ID: compare.FullThrottle, Name: "full throttle", Word: word, Change: change(-5), DrivesBefore: 3, DrivesAfter: 4},
		},
		More: plan.More{Before: "open", After: "duct", MoreBefore: 1, Narrower: 0.26},
	}
	w := compare.Worth{Difference: compare.Difference{ID: compare.FullThrottle, AtFullThrottle: true}, Preparation: engine.ConstantDepression}
	w.Total = estimate.Between("power", 0.03, quantity.KindShare.Shown(), estimate.Interval{Low: 0.023, High: 0.044, Level: 0.95}, estimate.Propagated, math.Inf(1))
	j.Power.Worths = []compare.Worth{w}
	return j
}

// mutation changes one thing that the sentence is about. The new sentence has to
// say without what it says now, and with what it has to say then.
type mutation struct {
	what          string
	change        func(j *Judgement)
	without, with string
}

// Whatever is computed and stands in the sentence turns with it: each clause's
// direction, size, level, number, order, basis and caution is flipped in turn, and
// what it said before must be gone.
func TestEachClauseTurns(t *testing.T) {
	interval := func(e *estimate.Estimate, low, high, level float64) {
		e.Interval = estimate.Interval{Low: low, High: high, Level: level}
	}
	power := func(j *Judgement) *compare.Worth { return &j.Power.Worths[0] }
	for _, m := range []mutation{
		{"direction", func(j *Judgement) { j.Strata[0].Word = SaysWarmer }, "7.2 K cooler", "7.2 K warmer"},
		{"size", func(j *Judgement) { j.Strata[0].Change.Value = -9.15 }, "7.2 K", "9.2 K cooler"},
		{"interval", func(j *Judgement) { interval(&j.Strata[0].Change, -8.11, -6.21, 0.95) }, "4.8 to 8.8 K", "6.2 to 8.1 K"},
		{"level", func(j *Judgement) { interval(&j.Strata[0].Change, -8.75, -4.75, 0.975) }, "(95 %: 4.8", "(97.5 %: 4.8"},
		{"drives before", func(j *Judgement) { j.Strata[0].DrivesBefore = 9 }, "3 + 4 drives", "9 + 4 drives"},
		{"drives after", func(j *Judgement) { j.Strata[0].DrivesAfter = 9 }, "3 + 4 drives", "3 + 9 drives"},
		{"one drive of a side", func(j *Judgement) { j.Strata[0].DrivesBefore = 1 }, "3 + 4 drives", "1 + 4 drives, the one taken for one like the others, in mixed order"},
		{"one drive of the other kind", func(j *Judgement) { j.Strata[1].DrivesAfter = 1 }, "5 + 2 drives", "5 + 1 drives, the one taken for one like the others)."},
		{"one after the other", func(j *Judgement) { j.Order.Changes = 1 }, "in mixed order", "one configuration after the other"},
		{"no dates", func(j *Judgement) { j.Order.Changes = 0 }, "in mixed order", "in an order that is not known"},
		{"control probe", func(j *Judgement) { j.Control = "oil" }, "in mixed order, probe", `in mixed order, less the drift of the control probe "oil", probe`},
		{"refitted", func(j *Judgement) { j.Mounting = campaign.Refitted }, "probe left in place", "probe refitted"},
		{"exchanged", func(j *Judgement) { j.Mounting = campaign.Exchanged }, "probe left in place", "probe exchanged"},
		{"names", func(j *Judgement) { j.Before, j.After = "duct", "open" }, `with "duct" than with "open"`, `with "open" than with "duct"`},
		{"kind of driving", func(j *Judgement) { j.Strata[0].Name = "road above 95 km/h" }, "On road 60 to 95 km/h", "On road above 95 km/h"},
		{"warm by a rule", func(j *Judgement) { j.WarmBasis = "warm by time" }, "left in place)", "left in place, warm by time)"},
		{"units", func(j *Judgement) { j.Units.Difference = mustUnit(t, quantity.KindTemperatureDifference, "F") }, "7.2 K cooler", "13.1 °F cooler"},
		{"undecided", func(j *Judgement) { j.Strata[0].Word = SaysUndecided }, "K cooler with", "it is undecided whether"},
		{"within", func(j *Judgement) { j.Strata[0].Word = SaysWithin }, "K cooler with", "no more than 3 K apart"},
		{"delta", func(j *Judgement) { j.Strata[0].Word, j.Delta = SaysWithin, 2 }, "3 K apart", "no more than 2 K apart"},
		{"not comparable", func(j *Judgement) {
			j.Strata[0].Word, j.Flaws = SaysNothing, []Flaw{{Kind: FlawRoles, Text: "two probes are swapped", Blocks: true}}
		}, "cooler", "can't be compared: two probes are swapped."},
		{"power's ends", func(j *Judgement) { interval(&power(j).Total, -0.012, 0.031, 0.95) }, "+2.3 to +4.4 %", "−1.2 to +3.1 % of power"},
		{"duct's pressure", func(j *Judgement) { power(j).Ducted = true }, "is not in it", "is in it, as stated"},
		{"injection", func(j *Judgement) { power(j).Preparation = engine.Injection }, "carburettor's mixture", "an injection's mixture"},
		{"λ measured", func(j *Judgement) {
			power(j).Budget.Lambda = engine.LambdaRange{Low: 0.83, High: 0.91, Measured: true}
		}, "nobody measured", "from λ 0.83 to 0.91, as measured"},
		{"inferred", func(j *Judgement) { j.Flaws = []Flaw{{Kind: FlawInferred}} }, "At full throttle that", "At full throttle, recognised by how the car accelerates, that is worth"},
		{"extrapolated", func(j *Judgement) { power(j).Effect.Extrapolated = true }, "not in it.", "; extrapolated"},
		{"full throttle not comparable", func(j *Judgement) { j.Strata[2].Word = SaysNothing }, "full throttle", "On road"},
		{"predicted", func(j *Judgement) { j.Power.Predicted, j.Power.Worths = power(j), nil }, "At full throttle that is", "predicted, not measured, to be worth +2.3 to +4.4 %"},
		{"other kind's direction", func(j *Judgement) { j.Strata[1].Word = SaysWarmer }, "12.8 K cooler", "12.8 K warmer"},
		{"other kind's size", func(j *Judgement) { j.Strata[1].Change.Value = -13.55 }, "12.8 K", "13.6 K cooler"},
		{"other kind's interval", func(j *Judgement) { interval(&j.Strata[1].Change, -14.01, -2.31, 0.95) }, "10.2 to 14.2 K", "2.3 to 14.0 K"},
		{"other kind's level", func(j *Judgement) { interval(&j.Strata[1].Change, -14.25, -10.25, 0.9) }, "(95 %: 10.2", "(90 %: 10.2"},
		{"other kind's drives", func(j *Judgement) { j.Strata[1].DrivesBefore = 7 }, "5 + 2 drives", "7 + 2 drives"},
		{"other kind within", func(j *Judgement) { j.Strata[1].Word = SaysWithin }, "it is 12.8", "In stop-and-go, which was not the question, the two are no more than 3 K apart"},
		{"other kind undecided", func(j *Judgement) { j.Strata[1].Word = SaysUndecided }, "it is 12.8", "it is undecided (95 %: −14.2 to −10.2 K"},
		{"other kind not comparable", func(j *Judgement) { j.Strata[1].Word = SaysNothing }, "stop-and-go", "On road"},
		{"other kind silent", func(j *Judgement) { j.Strata[0].Word = SaysWithin }, "stop-and-go", "On road"},
		{"more drives", func(j *Judgement) { j.More.MoreBefore = 4 }, "1 more drive with", `4 more drives with "open" would`},
		{"more of the other", func(j *Judgement) { j.More.MoreBefore, j.More.MoreAfter = 0, 3 }, `with "open" would`, `3 more drives with "duct" would`},
		{"more of each", func(j *Judgement) { j.More.MoreBefore, j.More.MoreAfter = 2, 2 }, `with "open" would`, `2 more drives with each would`},
		{"by how much", func(j *Judgement) { j.More.Narrower = 0.41 }, "about 25 %", "about 40 %"},
		{"hardly", func(j *Judgement) { j.More.Narrower = -0.1 }, "by about", "would hardly narrow the interval"},
		{"nothing known of more", func(j *Judgement) { j.More.Narrower = math.NaN() }, "more drive", "On road"},
	} {
		j := toldOf(SaysCooler, SaysCooler)
		was := j.Sentence()
		if m.what == "delta" {
			j.Strata[0].Word = SaysWithin
			was = j.Sentence()
		}
		m.change(&j)
		said := j.Sentence()
		if !strings.Contains(was, m.without) || strings.Contains(was, m.with) && m.with != "On road" {
			t.Errorf("%s: before the change the sentence is %q", m.what, was)
		}
		if strings.Contains(said, m.without) || !strings.Contains(said, m.with) {
			t.Errorf("%s: want %q and no %q: %s", m.what, m.with, m.without, said)
		}
	}
}

// The same sentence twice for two judgements would say that something is not told.
func TestWordsDiffer(t *testing.T) {
	var all []string
	for _, first := range []Word{SaysCooler, SaysWarmer, SaysWithin, SaysUndecided, SaysNothing} {
		j := toldOf(first, SaysCooler)
		said := j.clause(j.Strata[0])
		if slices.Contains(all, said) {
			t.Errorf("two words, one clause: %s", said)
		}
		all = append(all, said)
	}
}

func mustUnit(t *testing.T, k quantity.Kind, name string) quantity.Unit {
	t.Helper()
	u, err := quantity.Lookup(k, name)
	if err != nil {
		t.Fatal(err)
	}
	return u
}
