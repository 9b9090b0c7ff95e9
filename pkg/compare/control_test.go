package compare

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// drifting are drives of an unchanged car, all of one name before all of the other,
// whose intake and control probe drift together.
func drifting(n int, drift, share, scatter float64, random *rand.Rand) []DriveRise {
	var all []DriveRise
	for i, r := range told(make([]float64, n), make([]float64, n)) {
		r.Start = time.Date(2026, 5, 1+i, 9, 0, 0, 0, time.UTC)
		r.Mean = quantity.TemperatureDifference(20 + share*drift*float64(i) + scatter*random.NormFloat64())
		r.Control = quantity.TemperatureDifference(8 + drift*float64(i) + 0.3*random.NormFloat64())
		all = append(all, r)
	}
	return all
}

// Planted truth: nothing was changed, and from drive to drive the car drifts by
// 1 K, which a control probe shows. In the order A-A-A-A-B-B-B-B the difference of
// differences says so, where the difference alone is 4 K off. That it holds the truth
// as often as it says is counted over cars whose intake drifts 0.6 to 1.4 times as
// much as their control.
func TestControlTakesDriftAway(t *testing.T) {
	plain, controlled := DefaultRules(), DefaultRules()
	controlled.Control = "oil"
	for _, rules := range []*Rules{&plain, &controlled} {
		rules.Primary = RoadFast // nobody's: which drive is odd is not asked
	}
	change := func(rises []DriveRise, rules Rules) estimate.Interval {
		all, err := Configurations(rises, "open", "duct", rules)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range all {
			if d.ID == RoadMiddle {
				return d.Change.Interval
			}
		}
		t.Fatal("no difference")
		return estimate.Interval{}
	}
	random := rand.New(rand.NewPCG(20261127, 15))
	const cars = 60
	held, heldPlain, narrower := 0, 0, 0
	for range cars {
		rises := drifting(4, 1, 0.6+0.8*random.Float64(), 0.8, random)
		v, p := change(rises, controlled), change(rises, plain)
		if v.Contains(0) {
			held++
		}
		if p.Contains(0) {
			heldPlain++
		}
		if v.Width() < p.Width() {
			narrower++
		}
	}
	if e := 2.5 * math.Sqrt(0.95*0.05/cars); float64(held)/cars < 0.93-e || heldPlain > held*3/4 {
		t.Errorf("with the control %d of %d intervals hold 0, without %d", held, cars, heldPlain)
	}
	t.Logf("%d of %d hold, %d without the control; %d are narrower", held, cars, heldPlain, narrower)
}

// A control that lacks in one drive bounds nothing: the answer is that without one.
func TestControlThatLacks(t *testing.T) {
	rules := DefaultRules()
	rises := drifting(3, 1, 1, 0.5, rand.New(rand.NewPCG(1, 2)))
	want := road(t, rises, rules).Change.Interval
	rises[2].Control = quantity.TemperatureDifference(math.NaN())
	rules.Control = "oil"
	if got := road(t, rises, rules).Change.Interval; got != want {
		t.Errorf("%v, without a control %v", got, want)
	}
	for _, bad := range []drive.Role{drive.Ambient, drive.Speed, drive.Intake} {
		rules.Control = bad
		if _, err := Configurations(rises, "open", "duct", rules); err == nil {
			t.Errorf("%q as control", bad)
		}
	}
	rules.Control, rules.Covariate = "oil", "oil"
	if _, err := Configurations(rises, "open", "duct", rules); err == nil {
		t.Error("one probe for both")
	}
}

// A side that one probe measured in every drive tells more than one that two
// probes measured in turn, and a reader hears which probe came in between.
func TestOtherProbe(t *testing.T) {
	measured := func(devices ...string) Difference {
		rises := told([]float64{24, 24.4, 23.8}, []float64{6, 6.3, 5.9})
		for i := range rises {
			rises[i].Start = time.Date(2026, 5, 1+i, 9, 0, 0, 0, time.UTC)
			rises[i].Shared = []estimate.Contribution{{Source: estimate.Source{Kind: estimate.Probe, ID: "intake on " + devices[i]}, Effect: 1.44}}
		}
		return road(t, rises, DefaultRules())
	}
	one, two := measured("A", "A", "A", "A", "A", "A"), measured("B", "B", "A", "A", "A", "A")
	if estimate.Has(one.Flaws, OtherProbe) {
		t.Errorf("one probe: %v", one.Flaws)
	}
	i := slices.IndexFunc(two.Flaws, func(w estimate.Warning) bool { return w.Kind == OtherProbe })
	if i < 0 || !strings.Contains(two.Flaws[i].Text, "intake on B") || strings.Contains(two.Flaws[i].Text, "intake on A") {
		t.Errorf("two probes: %v", two.Flaws)
	}
	if one.Change.Interval.Width() >= two.Change.Interval.Width() {
		t.Errorf("one probe %v, two %v", one.Change.Interval, two.Change.Interval)
	}
}
