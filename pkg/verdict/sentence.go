package verdict

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Sentence says the answer in words, all of [Judgement.Clauses].
func (j Judgement) Sentence() string { return strings.Join(j.Clauses(), " ") }

// Clauses are the sentences of the answer: the kind of driving that counts, what
// that is worth at full throttle, another kind of driving, and what more drives
// would do. Each is computed: direction, size, level, drives, order and mounting.
// The first is always there.
func (j Judgement) Clauses() []string {
	s, err := j.Stratum(j.Primary)
	if err != nil {
		return []string{fmt.Sprintf("%q and %q can't be compared: %v.", j.Before, j.After, err)}
	}
	clauses := []string{j.clause(s)}
	if s.Word != SaysNothing {
		clauses = append(clauses, j.powerClause(), j.secondaryClause(s), j.More.String())
	}
	return slices.DeleteFunc(clauses, func(c string) bool { return c == "" })
}

// where says in which driving: "on road 60 to 95 km/h", "in stop-and-go".
func (s StratumJudgement) where() string {
	switch s.ID {
	case compare.StopAndGo:
		return "in " + s.Name
	case compare.Stopped:
		return "while " + s.Name
	case compare.FullThrottle:
		return "at " + s.Name
	}
	return "on " + s.Name
}

// begun writes a clause with a capital letter.
func begun(clause string) string { return strings.ToUpper(clause[:1]) + clause[1:] }

// secondaryClause says what another kind of driving shows, the slow ones first,
// since it may be another there. Where the kind that counts shows no change the
// others have no word, and nothing is said.
func (j Judgement) secondaryClause(primary StratumJudgement) string {
	if primary.Word != SaysCooler && primary.Word != SaysWarmer {
		return ""
	}
	var told *StratumJudgement
	for _, id := range []compare.StratumID{compare.StopAndGo, compare.Stopped, compare.RoadSlow, compare.RoadFast, compare.RoadMiddle} {
		s, err := j.Stratum(id)
		if err != nil || s.ID == primary.ID || s.Word == SaysNothing {
			continue
		}
		if s.Word != SaysUndecided { // a word is worth more than none
			told = &s
			break
		}
		if told == nil {
			told = &s
		}
	}
	if told == nil {
		return ""
	}
	v, kelvin := told.Change.Interval, quantity.KindTemperatureDifference
	span := j.Units.Span(kelvin, "%+.1f", v.Low, v.High)
	said := "it is undecided"
	switch told.Word {
	case SaysCooler, SaysWarmer:
		near, far := math.Abs(v.Low), math.Abs(v.High)
		span = j.Units.Span(kelvin, "%.1f", min(near, far), max(near, far))
		said = fmt.Sprintf("it is %s %s", j.Units.Say(kelvin, "%.1f", math.Abs(told.Change.Value)), told.Word)
	case SaysWithin:
		said = fmt.Sprintf("the two are no more than %s apart", j.Units.Say(kelvin, "%.3g", j.Delta.Kelvins()))
	}
	return begun(fmt.Sprintf("%s, which was not the question, %s (%.3g %%: %s; %s).", told.where(), said, 100*v.Level, span, compare.Counted(told.DrivesBefore, told.DrivesAfter)))
}

// clause says one kind of driving.
func (j Judgement) clause(s StratumJudgement) string {
	v := s.Change.Interval
	kelvin := quantity.KindTemperatureDifference
	rests := fmt.Sprintf("(%.3g %%: %s; %s)", 100*v.Level, j.Units.Span(kelvin, "%+.1f", v.Low, v.High), j.basis(s))
	switch s.Word {
	case SaysCooler, SaysWarmer: // sizes, since the word has the sign
		near, far := math.Abs(v.Low), math.Abs(v.High)
		rests = fmt.Sprintf("(%.3g %%: %s; %s)", 100*v.Level, j.Units.Span(kelvin, "%.1f", min(near, far), max(near, far)), j.basis(s))
		return begun(fmt.Sprintf("%s the engine breathes %s %s with %q than with %q %s.", s.where(), j.Units.Say(kelvin, "%.1f", math.Abs(s.Change.Value)), s.Word, j.After, j.Before, rests))
	case SaysWithin:
		return begun(fmt.Sprintf("%s %q and %q are no more than %s apart %s.", s.where(), j.After, j.Before, j.Units.Say(kelvin, "%.3g", j.Delta.Kelvins()), rests))
	case SaysUndecided:
		return begun(fmt.Sprintf("%s it is undecided whether %q breathes cooler or warmer than %q: the change is %s %s.", s.where(), j.After, j.Before, j.Units.Say(kelvin, "%+.1f", s.Change.Value), rests))
	}
	var why []string
	for _, f := range append(slices.Clone(j.Flaws), s.Flaws...) {
		if f.Blocks && !slices.Contains(why, f.Text) {
			why = append(why, f.Text)
		}
	}
	if len(why) == 0 {
		why = []string{s.Change.Missing}
	}
	who := fmt.Sprintf("%q and %q", j.After, j.Before)
	if j.After == "" || j.After == j.Before {
		who = fmt.Sprintf("%q", j.Before)
	}
	return begun(fmt.Sprintf("%s %s can't be compared: %s.", s.where(), who, strings.TrimSuffix(strings.Join(why, "; and "), ".")))
}

// basis says what a change rests on.
func (j Judgement) basis(s StratumJudgement) string {
	order := cmp.Or(map[int]string{0: "in an order that is not known", 1: "one configuration after the other"}[j.Order.Changes], "in mixed order")
	if j.Control != "" {
		order += fmt.Sprintf(", less the drift of the control probe %q", j.Control)
	}
	probe := "probe left in place"
	if j.Mounting != campaign.InPlace && j.Mounting != "" {
		probe = fmt.Sprintf("probe %s", j.Mounting)
	} else if slices.ContainsFunc(s.Flaws, func(f Flaw) bool { return f.Kind == FlawMounting }) {
		probe = "not with the same probes throughout"
	}
	next := " "
	if compare.OfOne(s.DrivesBefore, s.DrivesAfter) {
		next = ", " // what is said of the one drive ends there
	}
	text := fmt.Sprintf("%s%s%s, %s", compare.Counted(s.DrivesBefore, s.DrivesAfter), next, order, probe)
	if j.WarmBasis != "" {
		text += ", " + j.WarmBasis
	}
	return text
}

// powerClause says what the change is worth, where full throttle may be
// compared.
func (j Judgement) powerClause() string {
	low, high, ok := j.PowerRange()
	if !ok {
		if low, high, ok = j.PredictedRange(); ok {
			mixture := "an unadjusted carburettor's mixture"
			if j.Power.Predicted.Preparation == engine.Injection {
				mixture = "the mixture of an injection that does not measure the air's temperature"
			}
			return fmt.Sprintf("Full throttle could not be compared; from part throttle it is predicted, not measured, to be worth %s of power, %s included.", percents(low, high), mixture)
		}
		return ""
	}
	w := j.Power.Worths[0]
	mixture := "with what an unadjusted carburettor's mixture gives or takes where nobody measured it"
	switch l := w.Budget.Lambda; {
	case w.Preparation == engine.Injection:
		mixture = "with what an injection's mixture may give or take where it does not measure the air's temperature"
	case l.Measured:
		mixture = fmt.Sprintf("with what the unadjusted mixture gives or takes from λ %.2f to %.2f, as measured", l.Low, l.High)
	}
	recognised := ""
	if slices.ContainsFunc(j.Flaws, func(f Flaw) bool { return f.Kind == FlawInferred }) {
		recognised = ", recognised by how the car accelerates,"
	}
	text := fmt.Sprintf("At full throttle%s that is worth %s of power, %s; %s", recognised, percents(low, high), mixture, Ducted(w))
	if w.Effect.Extrapolated {
		text += "; extrapolated, since the air before or after lies outside the range of the published correction formulas"
	}
	return text + "."
}

// percents writes a span of changes of power, given as shares.
func percents(low, high float64) string {
	return quantity.Numbers("%+.1f to %+.1f %%", 100*low, 100*high)
}

// Ducted says in words whether the worth holds what the duct costs in pressure, and
// what was stated of the fuel.
func Ducted(w compare.Worth) string {
	text := "what a duct costs in pressure is not in it"
	if w.Ducted {
		text = "what the duct costs in pressure is in it, as stated"
	}
	if s := w.Budget.Metering.Stated(); s != "" {
		text += "; in it, as stated: " + s
	}
	return text
}

// PowerRange returns the change of power at full throttle with the mixture, as
// shares, from the lowest to the highest; ok is false where nothing may be said of full
// throttle, or there is no interval.
func (j Judgement) PowerRange() (low, high float64, ok bool) {
	if len(j.Power.Worths) == 0 {
		return math.NaN(), math.NaN(), false
	}
	w := j.Power.Worths[0]
	s, err := j.Stratum(w.Difference.Identity())
	v := w.Total.Interval
	if err != nil || s.Word == SaysNothing || !v.Known() || math.IsInf(v.Low, 0) || math.IsInf(v.High, 0) {
		return math.NaN(), math.NaN(), false
	}
	return v.Low, v.High, true
}

// PredictedRange returns what the change may be worth at full throttle, as
// shares, where nobody measured it there; ok is false where it was measured, or
// nothing can be said.
func (j Judgement) PredictedRange() (low, high float64, ok bool) {
	v := j.Power.predicted()
	s, err := j.Stratum(j.Primary)
	if err != nil || s.Word == SaysNothing || !v.Known() || math.IsInf(v.Low, 0) || math.IsInf(v.High, 0) {
		return math.NaN(), math.NaN(), false
	}
	return v.Low, v.High, true
}
