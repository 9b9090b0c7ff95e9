package compare

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/contrast"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Verdict is what a difference shows.
type Verdict int

// The verdicts. Each has to be earned.
const (
	NotComparable Verdict = iota // a flaw blocks the answer
	Undecided                    // a change that matters is neither shown nor excluded
	WithinDelta                  // a change that matters is excluded
	Cooler                       // the whole interval lies below zero
	Warmer                       // the whole interval lies above zero
)

// String returns the verdict in words.
func (v Verdict) String() string {
	return [...]string{"not comparable", "undecided", "no change that matters", "cooler", "warmer"}[v]
}

// ID names the verdict for programs; it is not for showing.
func (v Verdict) ID() string {
	return [...]string{"not comparable", "undecided", "within", "cooler", "warmer"}[v]
}

// decide reads the word off a posterior: a change whose interval of the level
// leaves out zero; no change that matters where the interval of twice the
// missing level lies within ±delta (two one-sided tests: D. J. Schuirmann,
// J. Pharmacokinet. Biopharm. 15 (1987) 657–680).
func decide(p *contrast.Posterior, level, delta float64) Verdict {
	missing := 1 - level // outside the interval, half of it on each side
	switch below := p.Below(0); {
	case below > 1-missing/2:
		return Cooler
	case below < missing/2:
		return Warmer
	case p.Below(-delta) < missing && p.Below(delta) > 1-missing:
		return WithinDelta
	}
	return Undecided
}

// priorFactors are what the scale of the scatter's prior is multiplied by for
// words that have to be borne out by each of them.
var priorFactors = [...]float64{1, 0.5, 2}

// judge fits the stratum's drives and finds the word, which half and twice the
// scale of the scatter's prior have to bear out, and a far drive where a side has
// one alone.
func (d *Difference) judge(obs []contrast.Observation, m contrast.Model, rules Rules) error {
	d.model, d.observations, d.delta = m, obs, float64(rules.Delta)
	posteriors, err := contrast.FitScales(obs, m, priorFactors[:]...)
	if err != nil {
		return err
	}
	copy(d.posteriors[:], posteriors)
	if d.far, err = ifFar(obs, m, len(d.sides[0])); err != nil {
		return err
	}
	p := d.posteriors[0]
	low, high := p.Interval(rules.Level)
	d.Change = estimate.Between("change", p.Quantile(0.5), d.Units.Of(quantity.KindTemperatureDifference), estimate.Interval{Low: low, High: high, Level: rules.Level}, estimate.BetweenDrives, math.Inf(1))
	d.Change.Count = len(obs)
	d.Cooler = p.Below(0)
	u := d.Change.StandardUncertainty()
	for _, s := range p.Budget() {
		d.Change.Contributions = append(d.Change.Contributions, estimate.Contribution{Source: sourceOf(s.Source, d.Stratum), Effect: u * math.Sqrt(s.Part)})
	}
	var turned float64
	if d.Verdict, turned = d.at(rules.Level); turned < 0 {
		d.sayLone()
	} else if turned != 0 {
		d.Flaws = append(d.Flaws, estimate.Warning{Kind: PriorDecides, Subject: d.Stratum, Text: fmt.Sprintf("with %g times the scatter that is expected of drives of one car the answer would be another, so these drives do not decide it", turned)})
	}
	return nil
}

// loneTurned stands for the only drive of a side where that takes the word.
const loneTurned = -1

// at is the word at a level; undecided where another scale of the prior, turned
// times the usual one, has another, or where the only drive of a side, were it far
// off, would leave another ([loneTurned]).
func (d Difference) at(level float64) (v Verdict, turned float64) {
	for i, p := range d.posteriors {
		word := decide(p, level, d.delta)
		if i == 0 {
			v = word
		} else if word != v && v != Undecided {
			return Undecided, priorFactors[i]
		}
	}
	if d.far != nil && v != Undecided && decide(d.far, level, d.delta) != v {
		return Undecided, loneTurned
	}
	return v, 0
}

// VerdictAt is the word that the drives would have at another level of the
// interval, 0.5 < level < 1; what blocks the answer does so at any.
func (d Difference) VerdictAt(level float64) Verdict {
	if d.posteriors[0] == nil || d.Verdict == NotComparable || !(level > 0.5 && level < 1) {
		return NotComparable
	}
	v, _ := d.at(level)
	return v
}

// sourceOf names a part of the budget. Scatter is the stratum's own; what a
// condition does is common to all of them.
func sourceOf(name, stratum string) estimate.Source {
	switch name {
	case contrast.ScatterSource, contrast.OwnSource:
		return estimate.Source{Kind: estimate.Scatter, ID: name + ", " + stratum}
	case contrast.OffsetSource:
		return estimate.Source{Kind: estimate.Mounting, ID: name}
	}
	return estimate.Source{Kind: estimate.ModelSpread, ID: name}
}

// block takes the answer away and says why.
func (d *Difference) block(k estimate.Kind, text string) {
	d.Verdict = NotComparable
	d.Blocking = append(d.Blocking, k)
	d.Flaws = append(d.Flaws, estimate.Warning{Kind: k, Subject: d.Stratum, Text: text})
}

// gate lets strata beside the primary speak only where the primary shows a
// change: six looks at one campaign would find something in one of four.
func gate(all []Difference, primary StratumID) {
	for _, d := range all {
		if d.Identity() == primary && (d.Verdict == Cooler || d.Verdict == Warmer) {
			return
		}
	}
	for i := range all {
		d := &all[i]
		if d.Identity() != primary && d.Verdict > Undecided {
			d.Verdict = Undecided
			d.Flaws = append(d.Flaws, estimate.Warning{Kind: Secondary, Subject: d.Stratum, Text: "it is not the kind of driving that the question was asked for, and that one shows no change"})
		}
	}
}

// influence leaves out each drive in turn and names the odd ones, by the priors of
// what drives do as a rule. None is removed: the answer keeps them, and their
// scatter.
func (d *Difference) influence(s Stratum, order map[string]float64, rules Rules) error {
	if d.posteriors[0] == nil {
		return nil
	}
	var err error
	level := rules.Level
	if d.Influence, err = contrast.Influence(d.observations, d.model, level); err != nil {
		return err
	}
	rules.Priors = rules.Priors.asExpected()
	_, usual := model(s, d.sides[0], d.sides[1], order, rules)
	expected, err := contrast.Influence(d.observations, usual, level)
	if err != nil {
		return err
	}
	for i, w := range expected {
		d.Influence[i].Surprise, d.Influence[i].Odd = w.Surprise, w.Odd
	}
	for _, w := range d.Influence {
		if w.Odd {
			d.Flaws = append(d.Flaws, estimate.Warning{Kind: Outlier, Subject: w.Drive, Text: fmt.Sprintf("%s: drive %q is not what the others lead one to expect; without it the change would be %s (%.0f %%: %s). %s. Look for the reason before you leave it out", d.Stratum, w.Drive, d.kelvins("%+.1f", w.Delta), 100*level, d.Units.Span(quantity.KindTemperatureDifference, "%.1f", w.Low, w.High), oddity(w.Drive, d.sides))})
		}
	}
	return nil
}

// Assurance returns the probability that drives of each configuration, n of
// each in all and in a balanced order, would show a change of the given size;
// see [contrast.Posterior.Assurance]. NaN for n below 2, or where one side has
// no drive yet.
func (d Difference) Assurance(n int, size quantity.TemperatureDifference) float64 {
	if d.posteriors[0] == nil {
		return math.NaN()
	}
	return d.posteriors[0].Assurance(d.model, n, float64(size), d.Change.Interval.Level)
}

// Expected returns the half-width of the interval of Change, in K, that the drives
// which were made lead one to expect once there are n of each configuration or more:
// the missing ones follow them in the order A-B-B-A, at the mean of their conditions;
// see [contrast.Posterior.Expected]. NaN where one side has no drive yet.
func (d Difference) Expected(n int) quantity.TemperatureDifference {
	if d.posteriors[0] == nil {
		return quantity.TemperatureDifference(math.NaN())
	}
	return quantity.TemperatureDifference(d.posteriors[0].Expected(d.model, d.observations, d.next(n), d.Change.Interval.Level))
}

// next are the drives that each side lacks of n, in the mean conditions of those
// that were made, but for their place in time and for the road of their side.
func (d Difference) next(n int) []contrast.Observation {
	column := func(name string) int {
		return slices.IndexFunc(d.model.Covariates, func(c contrast.Covariate) bool { return c.Name == name })
	}
	order, elsewhere := column(orderOfDrive), column(anotherRoad)
	missing := [2]int{n - len(d.sides[0]), n - len(d.sides[1])}
	place, dated := math.Inf(-1), false
	road := [2]float64{}
	side := func(o contrast.Observation) int {
		if o.After {
			return 1
		}
		return 0
	}
	for _, o := range d.observations {
		x := o.Covariates[order]
		place, dated = math.Max(place, x), dated || x != 0
		road[side(o)] = o.Covariates[elsewhere]
	}
	var next []contrast.Observation
	for i := 0; missing[0] > 0 || missing[1] > 0; i++ {
		s := (i + 1) / 2 % 2 // A, B, B, A
		if missing[s] <= 0 {
			s = 1 - s
		}
		missing[s]--
		o := contrast.Observation{After: s == 1, Uncertainty: d.own(), Covariates: make([]float64, len(d.model.Covariates))}
		if place++; dated {
			o.Covariates[order] = place
		}
		o.Covariates[elsewhere] = road[s]
		next = append(next, o)
	}
	return next
}

// own is the middle of the drives' own standard uncertainties, in K.
func (d Difference) own() float64 {
	all := make([]float64, len(d.observations))
	for i, o := range d.observations {
		all[i] = o.Uncertainty
	}
	slices.Sort(all)
	return all[len(all)/2]
}
