package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Interval is a range of temperature differences at a stated level.
type Interval struct {
	Lo, Hi quantity.TemperatureDifference
}

// Contains reports whether d lies in the interval.
func (v Interval) Contains(d quantity.TemperatureDifference) bool { return v.Lo <= d && d <= v.Hi }

// Width returns Hi − Lo.
func (v Interval) Width() quantity.TemperatureDifference { return v.Hi - v.Lo }

// String returns the interval in kelvin.
func (v Interval) String() string { return fmt.Sprintf("%.1f to %.1f K", float64(v.Lo), float64(v.Hi)) }

// Mean is a mean over drives with its interval.
type Mean struct {
	Value    quantity.TemperatureDifference
	Interval Interval // infinitely wide with one drive
	// Deviation is the standard deviation between drives.
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
	// Change is After minus Before: negative where the engine breathes cooler.
	Change   quantity.TemperatureDifference
	Interval Interval
	// PValue is the chance of a change at least this large either way if there
	// were none (Welch's t test, two sides); NaN with fewer than two drives on
	// a side.
	PValue float64
	// DegreesOfFreedom are those of Welch and Satterthwaite.
	DegreesOfFreedom float64
	Level            float64
	Verdict          Verdict
	Warnings         []string
}

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
		d := difference(means(a), means(b), rules.Level)
		d.Stratum, d.ID, d.AtFullThrottle = s.Name, s.Identity(), s.AtFullThrottle()
		d.Warnings = append(d.Warnings, imbalance(a, b)...)
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

// difference is Welch's interval for the difference of two means.
//
// Source: B. L. Welch, Biometrika 34 (1947) 28–35; degrees of freedom after
// F. E. Satterthwaite, Biometrics Bulletin 2 (1946) 110–114.
func difference(before, after []float64, level float64) Difference {
	d := Difference{Before: mean(before, level), After: mean(after, level), Level: level, PValue: math.NaN(), DegreesOfFreedom: math.NaN()}
	d.Change = d.After.Value - d.Before.Value
	inf := quantity.TemperatureDifference(math.Inf(1))
	d.Interval = Interval{-inf, inf}
	if len(before) < 2 || len(after) < 2 {
		return d
	}
	va := stat.Variance(before, nil) / float64(len(before))
	vb := stat.Variance(after, nil) / float64(len(after))
	se := math.Sqrt(va + vb)
	d.DegreesOfFreedom = (va + vb) * (va + vb) / (va*va/float64(len(before)-1) + vb*vb/float64(len(after)-1))
	if se == 0 {
		d.Interval = Interval{d.Change, d.Change}
		d.Warnings = append(d.Warnings, "the drives agree to the last digit: are these copies of one drive?")
		d.Verdict = TooFewDrives
		return d
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: d.DegreesOfFreedom}
	half := quantity.TemperatureDifference(t.Quantile(0.5+level/2) * se)
	d.Interval = Interval{d.Change - half, d.Change + half}
	d.PValue = 2 * t.CDF(-math.Abs(float64(d.Change)/se))
	switch {
	case d.Interval.Hi < 0:
		d.Verdict = Cooler
	case d.Interval.Lo > 0:
		d.Verdict = Warmer
	default:
		d.Verdict = NotShown
	}
	return d
}

// mean is a mean with Student's interval over drives.
func mean(x []float64, level float64) Mean {
	m := Mean{Drives: len(x)}
	inf := quantity.TemperatureDifference(math.Inf(1))
	m.Interval = Interval{-inf, inf}
	m.Value = quantity.TemperatureDifference(math.NaN())
	m.Deviation = quantity.TemperatureDifference(math.NaN())
	if len(x) == 0 {
		return m
	}
	mu, sd := stat.MeanStdDev(x, nil)
	m.Value = quantity.TemperatureDifference(mu)
	if len(x) < 2 {
		return m
	}
	m.Deviation = quantity.TemperatureDifference(sd)
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(len(x) - 1)}
	half := quantity.TemperatureDifference(t.Quantile(0.5+level/2) * sd / math.Sqrt(float64(len(x))))
	m.Interval = Interval{m.Value - half, m.Value + half}
	return m
}

// String returns the difference in a sentence.
func (d Difference) String() string {
	if d.Before.Drives == 0 || d.After.Drives == 0 {
		return fmt.Sprintf("%s: no comparison, drives with it: %d before, %d after", d.Stratum, d.Before.Drives, d.After.Drives)
	}
	if d.Verdict == TooFewDrives {
		return fmt.Sprintf("%s: %+.1f K, but too few drives for an interval (%d before, %d after)", d.Stratum, float64(d.Change), d.Before.Drives, d.After.Drives)
	}
	return fmt.Sprintf("%s: %+.1f K (%.0f %% interval %v): %v", d.Stratum, float64(d.Change), 100*d.Level, d.Interval, d.Verdict)
}
