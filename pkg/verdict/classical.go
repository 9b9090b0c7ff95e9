package verdict

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/contrast"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Classical is what a textbook's method says of the same drives.
type Classical struct {
	Method            string
	Change, Low, High quantity.TemperatureDifference // after minus before, 95 % interval
	DegreesOfFreedom  float64                        // to a tenth

	units quantity.Preferred
}

// ReadIn returns the units in which the owner reads.
func (c Classical) ReadIn() quantity.Preferred { return c.units }

// Classical returns the change in the kind of driving that counts by methods
// that take nothing for granted of how far drives scatter: the t tests of
// unpaired and of paired drives, the pairs pooled with what each drive's mean is
// uncertain by itself, and a model of all kinds of driving with a part of each
// drive's own. None of them knows of the probes' errors or of the weather's pull
// beyond a straight line, and with few drives they are wide. A method for which
// there are too few drives is left out.
func (a *Answer) Classical() (all []Classical) {
	add := func(method string, t contrast.T, err error) {
		if err != nil || !(t.StandardError > 0) || !(t.DegreesOfFreedom > 0) {
			return
		}
		low, high := t.Interval(0.95)
		all = append(all, Classical{method, quantity.KelvinDifference(t.Delta), quantity.KelvinDifference(low), quantity.KelvinDifference(high), math.Round(10*t.DegreesOfFreedom) / 10, a.Units})
	}
	if len(a.Differences) == 0 {
		return nil
	}
	before, after := a.counted(a.Before), a.counted(a.After)
	t, err := contrast.Welch(means(before), means(after))
	add("t test of Welch", t, err)
	t, err = contrast.Paired(means(before), means(after))
	add("paired t test, first with first", t, err)
	pooled, err := contrast.Pool(a.pairs(before, after))
	add("random effects of the pairs, modified Hartung–Knapp", pooled.Modified, err)
	t, kinds, err := a.mixed()
	add(fmt.Sprintf("mixed model of %d kinds of driving", kinds), t, err)
	return all
}

// counted are the drives' rises of one configuration in the kind of driving that
// counts, in order of time.
func (a *Answer) counted(configuration string) (all []compare.DriveRise) {
	primary := a.primary()
	for _, r := range a.Rises {
		if r.Configuration == configuration && r.Identity() == primary && !math.IsNaN(float64(r.Mean)) {
			all = append(all, r)
		}
	}
	return all
}

func means(rises []compare.DriveRise) []float64 {
	all := make([]float64, len(rises))
	for i, r := range rises {
		all[i] = float64(r.Mean)
	}
	return all
}

// pairs are the changes from drive to drive, first with first, with the standard
// uncertainty that each has by itself.
func (a *Answer) pairs(before, after []compare.DriveRise) (changes, uncertainties []float64) {
	own := math.Sqrt2 * float64(a.Rules.Priors.Own)
	for i := range min(len(before), len(after)) {
		b, c := before[i], after[i]
		changes = append(changes, float64(c.Mean-b.Mean))
		uncertainties = append(uncertainties, math.Hypot(own, math.Hypot(float64(b.Own), float64(c.Own))))
	}
	return changes, uncertainties
}

// mixed fits rise = kind + change of the kind + slope × outside temperature +
// drive + rest to the open road, where one scatter may do for all kinds, and
// returns the change of the kind that counts.
func (a *Answer) mixed() (t contrast.T, kinds int, err error) {
	var y, after, ambient []float64
	var kind, group []int
	seen, drives := map[compare.StratumID]int{}, map[string]int{}
	for _, r := range a.Rises {
		switch r.Identity() {
		case compare.RoadSlow, compare.RoadMiddle, compare.RoadFast:
		default:
			continue
		}
		if math.IsNaN(float64(r.Mean)) {
			continue
		}
		if _, ok := seen[r.Identity()]; !ok {
			seen[r.Identity()] = len(seen)
		}
		if _, ok := drives[r.Drive]; !ok {
			drives[r.Drive] = len(drives)
		}
		y, ambient = append(y, float64(r.Mean)), append(ambient, r.Ambient.Kelvin())
		kind, group = append(kind, seen[r.Identity()]), append(group, drives[r.Drive])
		isAfter := 0.0
		if r.Configuration == a.After {
			isAfter = 1
		}
		after = append(after, isAfter)
	}
	at, ok := seen[a.primary()]
	if !ok {
		return t, len(seen), fmt.Errorf("verdict: the kind of driving that counts is none of the open road")
	}
	floats.AddConst(-stat.Mean(ambient, nil), ambient) // keeps the numbers of the fit apart
	columns := [][]float64{ambient}
	for k := range len(seen) {
		level, change := make([]float64, len(y)), make([]float64, len(y))
		for i := range y {
			if kind[i] == k {
				level[i], change[i] = 1, after[i]
			}
		}
		columns = append(columns, level, change)
	}
	m, err := contrast.Mixed(y, columns, group)
	if err != nil {
		return t, len(seen), err
	}
	return m.Coefficients[2+2*at], len(seen), nil
}
