package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/contrast"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/internal/parallel"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Mean is the mean rise of the drives of one configuration in one stratum.
type Mean struct {
	// Rise is the mean in K with its interval, which holds scatter between
	// drives and the errors that all readings of the two probes share; unknown
	// without any drive.
	Rise estimate.Estimate
	// Deviation is the standard deviation between drives; NaN with fewer than
	// two.
	Deviation quantity.TemperatureDifference
	Drives    int
}

// Difference is after minus before in one stratum.
type Difference struct {
	Stratum string // the stratum's name, for showing
	ID      StratumID
	// AtFullThrottle says that the stratum holds full-throttle stretches only.
	AtFullThrottle bool
	Before, After  Mean
	// Change is After minus Before in K at the mean ambient and speed of these
	// drives, negative where the engine breathes cooler: median and central
	// interval of the posterior of package contrast, with its budget as
	// contributions (each in proportion to its share of the variance).
	Change estimate.Estimate
	// Cooler is the posterior probability that the change is below zero; NaN
	// where one side has no drive.
	Cooler float64
	// Primary is set for the stratum that the question is asked for.
	Primary bool
	Verdict Verdict
	// Influence says what the change would be without each drive; of the primary
	// stratum only.
	Influence []contrast.Without
	// Units are those in which texts are written: the drives'.
	Units   quantity.Preferred
	mixture engine.Carburettor
	lambda  engine.LambdaRange // where the mixture stood
	scale   float64            // of the scatter's prior, K
	// posteriors, of the model for the observations, are what Change was read
	// off, and those of priorFactors; nil without drives on both sides.
	posteriors   [len(priorFactors)]*contrast.Posterior
	far          *contrast.Posterior // were a side's only drive far off; nil where none has one alone
	model        contrast.Model
	observations []contrast.Observation
	sides        [2][]DriveRise // before, after
	delta        float64        // K
	// Flaws say what makes the comparison less than fair; Blocking are the kinds
	// of those that make it impossible.
	Flaws    []estimate.Warning
	Blocking []estimate.Kind
	// Warnings are the sentences of Flaws, for notebooks of the first version.
	Warnings []string
}

// Kinds of flaws of a difference.
const (
	Copies       estimate.Kind = "copies"     // drives that agree to the last digit
	FewDrives    estimate.Kind = "few drives" // one drive on each side
	Weather      estimate.Kind = "weather"    // another outside temperature
	Traffic      estimate.Kind = "speed"      // another speed
	Route        estimate.Kind = "route"      // another road
	WarmUp       estimate.Kind = "warm start" // another time since the thermostat opened
	PriorDecides estimate.Kind = "prior"      // another prior would give another answer
	Outlier      estimate.Kind = "outlier"    // a drive that the others did not expect
	LoneDrive    estimate.Kind = "lone drive" // the only drive of a side may be far off
	OtherProbe   estimate.Kind = "probe"      // another probe in some of the drives
	Secondary    estimate.Kind = "secondary"  // not the question, and the question shows no change
)

// Identity returns the stratum's ID, or its name where none was given.
func (d Difference) Identity() StratumID { return cmp.Or(d.ID, StratumID(d.Stratum)) }

// Configurations compares two configurations stratum by stratum. rises come
// from [Rises]; before and after are names of configurations. It fails where
// they are one, where no rise belongs to one of them, or where the rules can't
// be used.
func Configurations(rises []DriveRise, before, after string, rules Rules) ([]Difference, error) {
	if err := rules.check(); err != nil {
		return nil, err
	}
	if before == after {
		return nil, fmt.Errorf("compare: before and after are both %q, and a configuration can't be compared with itself; the drives have: %s", before, strings.Join(configurations(rises), ", "))
	}
	if err := known(rises, before, after); err != nil {
		return nil, err
	}
	order := places(rises, before, after)
	all, failed := make([]Difference, len(rules.Strata)), make([]error, len(rules.Strata))
	parallel.Each(len(all), func(i int) {
		s := rules.Strata[i]
		a, b := pick(rises, before, s.Identity()), pick(rises, after, s.Identity())
		all[i], failed[i] = difference(s, unitsOf(rises), a, b, order, rules)
	})
	for _, err := range failed {
		if err != nil {
			return nil, err
		}
	}
	primary := rules.Primary
	if primary == "" {
		primary = mostDriven(all)
	}
	for i := range all {
		all[i].Primary = all[i].Identity() == primary
	}
	gate(all, primary)
	for i := range all {
		if all[i].Primary {
			if err := all[i].influence(rules.Strata[i], order, rules); err != nil {
				return nil, err
			}
		}
	}
	for i := range all {
		for _, f := range all[i].Flaws {
			all[i].Warnings = append(all[i].Warnings, f.Text)
		}
	}
	return all, nil
}

// mostDriven is the stratum that most drives of the side with fewer have; of
// equals the one whose prior scatter is smallest, then the first.
func mostDriven(all []Difference) StratumID {
	best := all[0]
	for _, d := range all[1:] {
		n, m := min(d.Before.Drives, d.After.Drives), min(best.Before.Drives, best.After.Drives)
		if n > m || n == m && d.scale < best.scale {
			best = d
		}
	}
	return best.Identity()
}

func known(rises []DriveRise, names ...string) error {
	have := configurations(rises)
	for _, n := range names {
		if !slices.Contains(have, n) {
			return fmt.Errorf("compare: no drive has the configuration %q; there are: %s", n, strings.Join(have, ", "))
		}
	}
	return nil
}

// configurations lists those of the rises, in their order.
func configurations(rises []DriveRise) []string {
	var have []string
	for _, r := range rises {
		if !slices.Contains(have, r.Configuration) {
			have = append(have, r.Configuration)
		}
	}
	return have
}

// pick returns the drives of a configuration that have the stratum.
func pick(rises []DriveRise, configuration string, stratum StratumID) []DriveRise {
	var out []DriveRise
	for _, r := range rises {
		if r.Configuration == configuration && r.Identity() == stratum && !math.IsNaN(float64(r.Mean)) {
			out = append(out, r)
		}
	}
	return out
}

func means(rises []DriveRise) []float64 {
	x := make([]float64, len(rises))
	for i, r := range rises {
		x[i] = float64(r.Mean)
	}
	return x
}

// difference compares the drives of one stratum.
func difference(s Stratum, units quantity.Preferred, before, after []DriveRise, order map[string]float64, rules Rules) (Difference, error) {
	d := Difference{Stratum: s.In(units), Units: units, ID: s.Identity(), AtFullThrottle: s.AtFullThrottle(), Cooler: math.NaN()}
	d.sides = [2][]DriveRise{before, after}
	obs, m := model(s, before, after, order, rules)
	d.scale, d.mixture, d.lambda = m.Scatter.Scale, rules.Mixture, rules.Lambda
	var err error
	if d.Before, err = mean(units, before, obs[:len(before)], m, rules.Level, "mean rise before, "+string(d.ID)); err != nil {
		return d, err
	}
	if d.After, err = mean(units, after, obs[len(before):], m, rules.Level, "mean rise after, "+string(d.ID)); err != nil {
		return d, err
	}
	if len(before) == 0 || len(after) == 0 {
		d.Change = estimate.Unknown("change", units.Of(quantity.KindTemperatureDifference), "one side has no drive with this kind of driving")
		return d, nil
	}
	if err := d.judge(obs, m, rules); err != nil {
		return d, err
	}
	if len(before)+len(after) > 2 { // one drive each can't be compared, whatever else
		d.Flaws = append(d.Flaws, imbalance(s, before, after)...)
	} else {
		d.Flaws = nil
	}
	d.blocked(before, after)
	return d, nil
}

// unitsOf are the units of the first drive.
func unitsOf(sides ...[]DriveRise) quantity.Preferred {
	for _, s := range sides {
		for _, r := range s {
			return r.units
		}
	}
	return quantity.Preferred{}
}

// kelvins writes a difference of temperatures in K for the drives' owner.
func (d Difference) kelvins(verb string, difference float64) string {
	return d.Units.Say(quantity.KindTemperatureDifference, verb, difference)
}

// mean is the mean rise of one side. Its interval holds the scatter between
// drives and what the two probes' readings have in common.
func mean(units quantity.Preferred, rises []DriveRise, obs []contrast.Observation, m contrast.Model, level float64, name string) (Mean, error) {
	kelvin := units.Of(quantity.KindTemperatureDifference)
	mean := Mean{Drives: len(rises), Deviation: quantity.TemperatureDifference(math.NaN())}
	if len(rises) == 0 {
		mean.Rise = estimate.Unknown(name, kelvin, "no drive has this kind of driving")
		return mean, nil
	}
	x := means(rises)
	if len(x) > 1 {
		mean.Deviation = quantity.TemperatureDifference(stat.StdDev(x, nil))
	}
	plain := slices.Clone(obs) // the mean on these drives' own days: no condition is corrected for
	for i := range plain {
		plain[i].Covariates = nil
	}
	p, err := contrast.FitMean(plain, contrast.Model{Scatter: m.Scatter})
	if err != nil {
		return mean, err
	}
	low, high := p.Interval(level)
	z := distuv.UnitNormal.Quantile((1 + level) / 2)
	scatter := (high - low) / 2 / z
	contributions := []estimate.Contribution{{Source: estimate.Source{Kind: estimate.Scatter, ID: name}, Effect: scatter}}
	contributions = append(contributions, rises[0].Shared...)
	mean.Rise, err = estimate.New(name, stat.Mean(x, nil), kelvin, level, estimate.BetweenDrives, contributions...)
	mean.Rise.Count = len(x)
	return mean, err
}

// String returns the difference in a sentence.
func (d Difference) String() string {
	if d.Before.Drives == 0 || d.After.Drives == 0 {
		return fmt.Sprintf("%s: no comparison, drives with it: %d before, %d after", d.Stratum, d.Before.Drives, d.After.Drives)
	}
	if d.Verdict == NotComparable {
		return fmt.Sprintf("%s: %v (%s; their means differ by %s)", d.Stratum, d.Verdict, d.counted(), d.kelvins("%+.1f", d.After.Rise.Value-d.Before.Rise.Value))
	}
	v := d.Change.Interval
	return fmt.Sprintf("%s: %s (%.3g %% interval %s; %s): %v", d.Stratum, d.kelvins("%+.1f", d.Change.Value), 100*v.Level, d.Units.Span(quantity.KindTemperatureDifference, "%.1f", v.Low, v.High), d.counted(), d.Verdict)
}

// WhyNot says why a difference may not be compared: what it is, then each reason
// once, without the name of its kind of driving, which stands before them.
func (d Difference) WhyNot() string {
	var why []string
	for _, f := range d.Flaws {
		text := strings.TrimSuffix(strings.TrimPrefix(f.Text, d.Stratum+": "), ".")
		if slices.Contains(d.Blocking, f.Kind) && !slices.Contains(why, text) {
			why = append(why, text)
		}
	}
	return strings.TrimSuffix(d.String()+": "+strings.Join(why, "; "), ": ")
}
