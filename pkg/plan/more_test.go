package plan_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/plan"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// difference compares rises of the open road, named and dated in this order: each a
// value in K, the outside air in °C, and whether it is one after the change.
func difference(t *testing.T, drives []made) compare.Difference {
	t.Helper()
	var rises []compare.DriveRise
	for i, d := range drives {
		r := compare.DriveRise{Drive: fmt.Sprint("drive ", i), Configuration: "open", ID: compare.RoadMiddle, Stratum: "road",
			Mean: quantity.KelvinDifference(d.rise), Ambient: quantity.Celsius(d.ambient), Speed: 22, Time: 600, SinceOpening: 900}
		if d.after {
			r.Configuration = "duct"
		}
		if d.dated {
			r.Start = time.Date(2024, 5, 1+i, 9, 0, 0, 0, time.UTC)
		}
		rises = append(rises, r)
	}
	rules := compare.DefaultRules()
	rules.Primary = compare.RoadFast // not this one: leaving out each drive in turn takes long
	all, err := compare.Configurations(rises, "open", "duct", rules)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range all {
		if d.ID == compare.RoadMiddle {
			return d
		}
	}
	t.Fatal("no difference")
	return compare.Difference{}
}

type made struct {
	after, dated  bool
	rise, ambient float64
}

// Two more of each where both sides have as many, else so many that they have. An
// interval of five a side is to one of three as the roots of their numbers, 0.77,
// where the scatter is known; where only the drives tell it also as the factors of
// Student's t with 4 and 8 degrees of freedom, 0.64. With a prior it lies between.
func TestAhead(t *testing.T) {
	of := func(before, after []float64) plan.More {
		var drives []made
		for side, x := range [][]float64{before, after} {
			for _, v := range x {
				drives = append(drives, made{after: side == 1, rise: v, ambient: 20})
			}
		}
		return plan.Ahead(difference(t, drives), "open", "duct")
	}
	even := of([]float64{20, 21.5, 19}, []float64{10, 11, 8.6})
	if even.MoreBefore != 2 || even.MoreAfter != 2 || !(1-even.Narrower > 0.64 && 1-even.Narrower < 0.775) {
		t.Errorf("three each: %+v", even)
	}
	odd := of([]float64{20, 21.5, 19, 20.4}, []float64{10, 11})
	if odd.MoreBefore != 0 || odd.MoreAfter != 2 || !(odd.Narrower > 0.1) {
		t.Errorf("four and two: %+v", odd)
	}
	if s := (plan.More{Narrower: math.NaN(), MoreAfter: 2}).String(); s != "" {
		t.Errorf("nothing is known, and it says %q", s)
	}
}

// What is said is what comes: drives in mixed order, those after the change on days 4 K
// warmer, two more of each on days like the mean of all; the mean loss of width over
// many campaigns that go on from the same drives. The scatter and the mean from which
// they do are drawn for each side from what its drives leave open (inverse χ² and
// normal: A. Gelman and others, Bayesian Data Analysis, 3rd ed. 2013, 3.2). It has to
// agree within 2 points after 10 + 10 and 0.4 after 50 + 50.
func TestAheadIsWhatMoreDrivesDo(t *testing.T) {
	const scatter, level = 1.5, 18.0
	for _, c := range []struct {
		each            int
		warmer, allowed float64
	}{{10, 4, 0.02}, {50, 4, 0.004}, {10, 0, 0.02}, {50, 0, 0.004}} {
		var drives []made
		add := func(i int, ambient, beside float64) {
			d := made{after: (i+1)/2%2 == 1, dated: true, rise: level + beside, ambient: ambient}
			if d.after {
				d.rise -= 5
			}
			drives = append(drives, d)
		}
		values := make([]float64, c.each) // of each side, around its mean
		for i := range values {
			values[i] = scatter * distuv.UnitNormal.Quantile((float64(i)+0.5)/float64(c.each))
		}
		shown, place := stat.StdDev(values, nil), [2]int{}
		for i := range 2 * c.each {
			side := (i + 1) / 2 % 2
			k := (place[side]*7 + side) % c.each // 7 has no divisor in common with 10 and 50
			place[side]++
			add(i, 18+c.warmer*float64(side)+2*math.Sin(float64(3*i)), values[k])
		}
		now := difference(t, drives)
		said := plan.Ahead(now, "open", "duct").Narrower
		mean := 0.0
		for _, d := range drives {
			mean += d.ambient / float64(len(drives))
		}
		random := rand.New(rand.NewPCG(7, uint64(c.each)))
		first := drives
		campaigns := 3000 / float64(c.each)
		seen := 0.0
		for range int(campaigns) {
			drives = slices.Clone(first)
			var shift, wide [2]float64
			for side := range 2 {
				wide[side] = shown * math.Sqrt(float64(c.each-1)/distuv.ChiSquared{K: float64(c.each - 1), Src: random}.Rand())
				shift[side] = wide[side] / math.Sqrt(float64(c.each)) * random.NormFloat64()
			}
			for i := range 4 {
				side := (i + 1) / 2 % 2
				add(2*c.each+i, mean, shift[side]+wide[side]*random.NormFloat64())
			}
			seen += (1 - difference(t, drives).Change.Interval.Width()/now.Change.Interval.Width()) / campaigns
		}
		t.Logf("%d + %d, %g K warmer: %.1f %% said, %.1f %% seen", c.each, c.each, c.warmer, 100*said, 100*seen)
		if !(math.Abs(said-seen) < c.allowed) {
			t.Errorf("%d + %d, %g K warmer: %.1f %% narrower is said, %.1f %% comes", c.each, c.each, c.warmer, 100*said, 100*seen)
		}
	}
}
