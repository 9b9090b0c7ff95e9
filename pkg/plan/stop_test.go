package plan_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/plan"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// compared is the difference of drives in the order A-B-B-A with these rises.
func compared(t *testing.T, rises ...float64) compare.Difference {
	t.Helper()
	var all []compare.DriveRise
	for i, k := range rises {
		side := "open"
		if i%4 == 1 || i%4 == 2 {
			side = "duct"
		}
		all = append(all, compare.DriveRise{Drive: fmt.Sprint(i), Configuration: side, ID: compare.RoadMiddle, Mean: quantity.KelvinDifference(k),
			Ambient: quantity.Celsius(18 + float64(i%3)), Speed: 22, SinceOpening: 900, Start: time.Date(2026, 5, 2+i, 9, 0, 0, 0, time.UTC)})
	}
	rules := compare.DefaultRules()
	rules.Primary = compare.RoadMiddle
	ds, err := compare.Configurations(all, "open", "duct", rules)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range ds {
		if d.Primary {
			return d
		}
	}
	t.Fatal("no primary")
	return compare.Difference{}
}

// A change that one look at 95 % shows may not be enough for somebody who looks
// ten times; a large one is.
func TestMayStop(t *testing.T) {
	clear := plan.MayStop(compared(t, 20, 10, 10.4, 20.6, 19.8, 10.2), 0.95)
	if !clear.Stop || clear.Word != compare.Cooler || clear.Look != 3 || !strings.HasPrefix(clear.String(), "Yes: cooler") {
		t.Errorf("10 K: %+v %v", clear, clear)
	}
	between := compared(t, 20.2, 17.9, 17.4, 19.6, 20.4, 18.0)
	if s := plan.MayStop(between, 0.95); s.Stop || between.Verdict != compare.Cooler || !(s.Level > 0.97) || !strings.HasPrefix(s.String(), "No: look 3 of 10") {
		t.Errorf("2 K, %v: %+v %v", between, s, s)
	}
	if s := plan.MayStop(compared(t, 20, 10, 10.5), 0.95); s.Look != 0 || s.Stop || !math.IsNaN(s.Level) || !strings.HasPrefix(s.String(), "Not yet") {
		t.Errorf("three drives: %+v", s)
	}
	if s := plan.MayStop(compared(t, 20, 10, 10.4, 20.6, 19.8, 10.2, 9.9, 20.3, 20.4, 9.7, 10.1, 20.2, 19.9, 10.3), 0.95); s.Look != 11 || s.Stop || !strings.Contains(s.String(), "used up") {
		t.Errorf("14 drives: %+v", s)
	}
	if s := plan.MayStop(compared(t, 20, 10, 10.4, 20.6), 1.5); s.Stop || !math.IsNaN(s.Level) {
		t.Errorf("a level of 1.5: %+v", s)
	}
}
