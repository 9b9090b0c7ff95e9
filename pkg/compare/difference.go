package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Mean is the mean rise of the drives of one configuration in one stratum.
type Mean struct {
	// Rise is the mean with Student's interval over drives, in K; unbounded with
	// one drive, unknown without any.
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
	// Change is After minus Before in K, with Welch's interval over drives:
	// negative where the engine breathes cooler.
	Change estimate.Estimate
	// PValue is the chance of a change at least this large either way if there
	// were none (Welch's t test, two sides); NaN with fewer than two drives on
	// a side.
	PValue  float64
	Verdict Verdict
	// Flaws say what makes the comparison less than fair.
	Flaws []estimate.Warning
	// Warnings are the sentences of Flaws, for notebooks of the first version.
	Warnings []string
}

// Kinds of flaws of a difference.
const (
	Copies  estimate.Kind = "copies"     // drives that agree to the last digit
	Weather estimate.Kind = "weather"    // another outside temperature
	Traffic estimate.Kind = "speed"      // another speed
	WarmUp  estimate.Kind = "warm start" // another time since the thermostat opened
)

// Identity returns the stratum's ID, or its name where none was given.
func (d Difference) Identity() StratumID { return cmp.Or(d.ID, StratumID(d.Stratum)) }

// Verdict is what a difference shows.
type Verdict int

// The verdicts.
const (
	TooFewDrives Verdict = iota // fewer than two drives on a side
	NotShown                    // the interval holds zero
	Cooler                      // the whole interval lies below zero
	Warmer                      // the whole interval lies above zero
)

// String returns the verdict in words.
func (v Verdict) String() string {
	return [...]string{"too few drives to tell", "no difference shown", "cooler", "warmer"}[v]
}

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
	var all []Difference
	for _, s := range rules.Strata {
		a, b := pick(rises, before, s.Identity()), pick(rises, after, s.Identity())
		d, err := difference(means(a), means(b), rules.Level, before+", "+string(s.Identity()), after+", "+string(s.Identity()))
		if err != nil {
			return nil, err
		}
		d.Stratum, d.ID, d.AtFullThrottle = s.Name, s.Identity(), s.AtFullThrottle()
		d.Flaws = append(d.Flaws, imbalance(s.Name, a, b)...)
		for _, f := range d.Flaws {
			d.Warnings = append(d.Warnings, f.Text)
		}
		all = append(all, d)
	}
	return all, nil
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

// difference is Welch's interval for the difference of two means, each side's
// scatter a source of its own by the given names.
//
// Source: B. L. Welch, Biometrika 34 (1947) 28–35; degrees of freedom after
// F. E. Satterthwaite, Biometrics Bulletin 2 (1946) 110–114.
func difference(before, after []float64, level float64, nameBefore, nameAfter string) (Difference, error) {
	d := Difference{PValue: math.NaN()}
	var err error
	if d.Before, err = mean(before, level, nameBefore); err != nil {
		return d, err
	}
	if d.After, err = mean(after, level, nameAfter); err != nil {
		return d, err
	}
	one, minusOne := estimate.Term{Coefficient: 1, Estimate: d.After.Rise}, estimate.Term{Coefficient: -1, Estimate: d.Before.Rise}
	if d.Change, err = estimate.Sum("change", kelvin, level, one, minusOne); err != nil {
		return d, err
	}
	if len(before) < 2 || len(after) < 2 {
		return d, nil
	}
	u := d.Change.StandardUncertainty()
	if u == 0 {
		d.Flaws = append(d.Flaws, estimate.Warning{Kind: Copies, Text: "the drives agree to the last digit: are these copies of one drive?"})
		d.Verdict = TooFewDrives
		return d, nil
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: d.Change.DegreesOfFreedom}
	d.PValue = 2 * t.CDF(-math.Abs(d.Change.Value/u))
	switch {
	case d.Change.Interval.High < 0:
		d.Verdict = Cooler
	case d.Change.Interval.Low > 0:
		d.Verdict = Warmer
	default:
		d.Verdict = NotShown
	}
	return d, nil
}

var kelvin = quantity.KindTemperatureDifference.SI()

// mean is a mean with Student's interval over drives.
func mean(x []float64, level float64, name string) (Mean, error) {
	m := Mean{Drives: len(x), Deviation: quantity.TemperatureDifference(math.NaN())}
	name = "mean rise, " + name
	if len(x) == 0 {
		m.Rise = estimate.Unknown(name, kelvin, "no drive has this kind of driving")
		return m, nil
	}
	if len(x) == 1 {
		unbounded := estimate.Interval{Low: math.Inf(-1), High: math.Inf(1), Level: level}
		m.Rise = estimate.Between(name, x[0], kelvin, unbounded, estimate.BetweenDrives, math.NaN())
		m.Rise.Count = 1
		return m, nil
	}
	mu, sd := stat.MeanStdDev(x, nil)
	m.Deviation = quantity.TemperatureDifference(sd)
	n := float64(len(x))
	scatter := estimate.Contribution{Source: estimate.Source{Kind: estimate.Scatter, ID: name}, Effect: sd / math.Sqrt(n), DegreesOfFreedom: n - 1}
	var err error
	m.Rise, err = estimate.New(name, mu, kelvin, level, estimate.BetweenDrives, scatter)
	m.Rise.Count = len(x)
	return m, err
}

// String returns the difference in a sentence.
func (d Difference) String() string {
	if d.Before.Drives == 0 || d.After.Drives == 0 {
		return fmt.Sprintf("%s: no comparison, drives with it: %d before, %d after", d.Stratum, d.Before.Drives, d.After.Drives)
	}
	if d.Verdict == TooFewDrives {
		return fmt.Sprintf("%s: %+.1f K, but too few drives for an interval (%d before, %d after)", d.Stratum, d.Change.Value, d.Before.Drives, d.After.Drives)
	}
	v := d.Change.Interval
	return fmt.Sprintf("%s: %+.1f K (%.0f %% interval %.1f to %.1f K): %v", d.Stratum, d.Change.Value, 100*v.Level, v.Low, v.High, d.Verdict)
}
