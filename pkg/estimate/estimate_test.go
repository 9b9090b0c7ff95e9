package estimate_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func close(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6g, want %.6g ± %.2g", what, got, want, tolerance)
	}
}

func must(t *testing.T) func(estimate.Estimate, error) estimate.Estimate {
	return func(e estimate.Estimate, err error) estimate.Estimate {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
}

// JCGM 100:2008, H.1 (end gauge), table H.1: contributions 25, 9.7, 2.9 and
// 16.6 nm with 18, 25.6, 50 and 2 degrees of freedom give u = 32 nm, 16
// effective degrees of freedom (16.7 before they are cut) and, with
// t99(16) = 2.92, U99 = 93 nm.
func TestEndGauge(t *testing.T) {
	part := func(id string, effect, dof float64) estimate.Contribution {
		return estimate.Contribution{Source: estimate.Source{Kind: estimate.OtherSource, ID: id}, Effect: effect * 1e-9, DegreesOfFreedom: dof}
	}
	e := must(t)(estimate.New("length", 50.000838e-3, quantity.Unit{}, 0.99, estimate.Propagated,
		part("standard", 25, 18), part("difference", 9.7, 25.6), part("expansion", 2.9, 50), part("temperature", 16.6, 2)))
	close(t, "standard uncertainty in nm", e.StandardUncertainty()*1e9, 32, 0.5)
	close(t, "effective degrees of freedom", e.DegreesOfFreedom, 16.7, 0.3)
	// k is 2.90 for 16.7 degrees of freedom, 2.92 for the 16 of the text.
	close(t, "expanded uncertainty in nm", e.Interval.Width()/2*1e9, 93, 1.5)
}

// The same probe before and after: its error drops out of the change once, and
// the scatter does not.
func TestCommonSourceCancelsOnce(t *testing.T) {
	probe := estimate.Source{Kind: estimate.Probe, ID: "logger A, T1"}
	scatter := func(id string) estimate.Source { return estimate.Source{Kind: estimate.Scatter, ID: id} }
	rise := func(name string, value float64) estimate.Estimate {
		return must(t)(estimate.New(name, value, quantity.Unit{}, 0.95, estimate.Propagated,
			estimate.Contribution{Source: probe, Effect: 1.5},
			estimate.Contribution{Source: scatter(name), Effect: 0.3}))
	}
	before, after := rise("before", 21), rise("after", 6)
	change := must(t)(estimate.Difference("change", after, before))
	close(t, "change", change.Value, -15, 0)
	close(t, "uncertainty", change.StandardUncertainty(), 0.3*math.Sqrt2, 1e-12)
	for _, c := range change.Contributions {
		if c.Source == probe {
			t.Errorf("the probe still contributes %g", c.Effect)
		}
	}
	// Subtracting one of them again brings its error back: it is not removed twice.
	again := must(t)(estimate.Difference("again", change, before))
	close(t, "uncertainty with the probe again", again.StandardUncertainty(), math.Sqrt(1.5*1.5+0.3*0.3+0.6*0.6), 1e-12)
	// Two different probes do not cancel.
	other := must(t)(estimate.New("other", 6, quantity.Unit{}, 0.95, estimate.Propagated,
		estimate.Contribution{Source: estimate.Source{Kind: estimate.Probe, ID: "logger B, T1"}, Effect: 1.5}))
	d := must(t)(estimate.Difference("d", other, before))
	close(t, "two probes", d.StandardUncertainty(), math.Sqrt(2*1.5*1.5+0.3*0.3), 1e-12)
}

// Student's t with 4 degrees of freedom: 2.776 (JCGM 100:2008, table G.2).
func TestFewObservations(t *testing.T) {
	e := must(t)(estimate.New("mean of five", 10, quantity.Unit{}, 0.95, estimate.BetweenDrives,
		estimate.Contribution{Source: estimate.Source{Kind: estimate.Scatter, ID: "five drives"}, Effect: 1, DegreesOfFreedom: 4}))
	close(t, "half width", e.Interval.Width()/2, 2.776, 5e-4)
	wider := e.AtLevel(0.99) // 4.604, table G.2
	close(t, "half width at 99 %", wider.Width()/2, 4.604, 5e-4)
}

// An interval of bounds is a rectangle: half width over √3 (JCGM 100, 4.3.7).
func TestBounds(t *testing.T) {
	e := estimate.Between("spread", 3, quantity.Unit{}, estimate.Interval{Low: 2, High: 4}, estimate.Bounds, math.NaN())
	close(t, "standard uncertainty", e.StandardUncertainty(), 1/math.Sqrt(3), 1e-12)
	if e.AtLevel(0.95).Known() {
		t.Error("bounds have no 95 % interval")
	}
}

func TestUnknownSaysWhy(t *testing.T) {
	u := estimate.Unknown("mixing fraction", quantity.Unit{}, "no probe in the air behind the radiator; one would give it")
	if _, err := u.Require(); !errors.Is(err, estimate.ErrUnknown) || !strings.Contains(err.Error(), "behind the radiator") {
		t.Errorf("got %v", err)
	}
	known := must(t)(estimate.New("a", 1, quantity.Unit{}, 0.95, estimate.Propagated))
	sum := must(t)(estimate.Sum("sum", quantity.Unit{}, 0.95, estimate.Term{Coefficient: 1, Estimate: known}, estimate.Term{Coefficient: 1, Estimate: u}))
	if sum.Known() || !strings.Contains(sum.Missing, "mixing fraction") {
		t.Errorf("a sum with an unknown part is %v", sum)
	}
	if _, err := json.Marshal(sum); err != nil {
		t.Error(err)
	}
}

// A value about whose error nothing is known makes a sum without bounds, not
// an exact one.
func TestNoIntervalIsNotExact(t *testing.T) {
	e := estimate.Between("one drive", 4, quantity.Unit{}, estimate.NoInterval(), estimate.NoBasis, math.NaN())
	sum := must(t)(estimate.Sum("sum", quantity.Unit{}, 0.95, estimate.Term{Coefficient: 2, Estimate: e}))
	if !math.IsInf(sum.Interval.High, 1) || !math.IsInf(sum.Interval.Low, -1) {
		t.Errorf("got %v", sum.Interval)
	}
}

// What is common to both and nothing else leaves no uncertainty; two estimates
// of one name without contributions are not one.
func TestAllCancels(t *testing.T) {
	probe := estimate.Contribution{Source: estimate.Source{Kind: estimate.Probe, ID: "T1"}, Effect: 1}
	a := must(t)(estimate.New("a", 5, quantity.Unit{}, 0.95, estimate.BetweenDrives, probe))
	b := must(t)(estimate.New("b", 3, quantity.Unit{}, 0.95, estimate.BetweenDrives, probe))
	d := must(t)(estimate.Difference("d", a, b))
	if d.Interval != (estimate.Interval{Low: 2, High: 2, Level: 0.95}) || d.StandardUncertainty() != 0 {
		t.Errorf("got %v ± %v", d.Interval, d.StandardUncertainty())
	}
	close(t, "at another level", d.AtLevel(0.99).Width(), 0, 0)
	one := estimate.Between("offset", 1, quantity.Unit{}, estimate.Interval{Low: 0, High: 2, Level: 0.95}, estimate.Likelihood, math.NaN())
	two := must(t)(estimate.Difference("two", one, one))
	close(t, "two of one name", two.StandardUncertainty(), one.StandardUncertainty()*math.Sqrt2, 1e-9)
}

func TestBadInputIsRefused(t *testing.T) {
	if _, err := estimate.New("x", 1, quantity.Unit{}, 95, estimate.Propagated); err == nil {
		t.Error("a level of 95 was accepted")
	}
	if _, err := estimate.New("x", 1, quantity.Unit{}, 0.95, estimate.Propagated, estimate.Contribution{Effect: math.NaN()}); err == nil {
		t.Error("a contribution of NaN was accepted")
	}
}
