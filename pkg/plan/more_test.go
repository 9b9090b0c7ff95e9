package plan_test

import (
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/plan"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Two more of each where both sides have as many, else so many that they have. An
// interval of five a side is to one of three as the roots of their numbers, 0.77,
// where the scatter is known; where only the drives tell it also as the factors of
// Student's t with 4 and 8 degrees of freedom, 0.64. With a prior it lies between.
func TestAhead(t *testing.T) {
	of := func(before, after []float64) plan.More {
		var rises []compare.DriveRise
		for side, x := range [][]float64{before, after} {
			for i, v := range x {
				name := []string{"open", "duct"}[side]
				rises = append(rises, compare.DriveRise{Drive: name + string(rune('1'+i)), Configuration: name, ID: compare.RoadMiddle, Stratum: "road",
					Mean: quantity.KelvinDifference(v), Ambient: quantity.Celsius(20), Speed: 22, Time: 600, SinceOpening: 900})
			}
		}
		all, err := compare.Configurations(rises, "open", "duct", compare.DefaultRules())
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range all {
			if d.ID == compare.RoadMiddle {
				return plan.Ahead(d, "open", "duct")
			}
		}
		t.Fatal("no difference")
		return plan.More{}
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
