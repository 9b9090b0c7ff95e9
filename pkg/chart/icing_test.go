package chart

import (
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func TestIcingZonesShowsDaysAndLeavesOutWhatWasNotRead(t *testing.T) {
	day := func(s air.State, err error) engine.Icing {
		if err != nil {
			t.Fatal(err)
		}
		r, err := engine.AssessIcing(s)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	f := drawn(t, IcingZones(
		IcingDay{Name: "mild", Risk: day(air.NewStateFromDewPoint(101325, quantity.Celsius(22), quantity.Celsius(5)))},
		IcingDay{Name: "desert", Risk: day(air.NewState(101325, quantity.Celsius(30), 0))},
	))
	p := f.Panels[0]
	if len(p.Points) != 1 || math.Abs(p.Points[0].X[0]-5) > 1e-3 || math.Abs(p.Points[0].Y[0]-22) > 1e-9 || !strings.Contains(p.Points[0].Label, "likely") {
		t.Errorf("points %+v, want the mild day alone", p.Points)
	}
	if !strings.Contains(f.Caption[len(f.Caption)-1], "desert") {
		t.Errorf("the day without a dew point is not named: %q", f.Caption)
	}
	for _, r := range p.Ribbons {
		for i, d := range r.X {
			if d > 6 && !math.IsNaN(r.Hi[i]) {
				t.Errorf("%s filled at a dew point of %g °C, where the curve was not read", r.Label, d)
			}
			if r.Hi[i] < r.Lo[i] {
				t.Errorf("%s at %g °C from %g to %g", r.Label, d, r.Lo[i], r.Hi[i])
			}
		}
	}
}

// Who reads in °F finds axes, points and reasons in °F: 41 °F are 5 °C, 70 °F are
// 21 °C (NIST SP 811, B.8).
func TestIcingZonesInFahrenheit(t *testing.T) {
	s, err := air.NewStateFromDewPoint(101325, quantity.Celsius(10), quantity.Celsius(9))
	if err != nil {
		t.Fatal(err)
	}
	r, err := engine.AssessIcing(s)
	if err != nil {
		t.Fatal(err)
	}
	r = r.In(quantity.Preferred{Temperature: quantity.KindTemperature.Unit("°F")}.Matching())
	f := drawn(t, IcingZones(IcingDay{Name: "mild", Risk: r}))
	p := f.Panels[0]
	if !strings.Contains(p.YLabel, "°F") || !strings.Contains(f.XLabel, "°F") || p.Right == nil {
		t.Errorf("axes %q, %q", p.YLabel, f.XLabel)
	}
	if len(p.Points) != 1 || math.Abs(p.Points[0].X[0]-48.2) > 1e-2 || math.Abs(p.Points[0].Y[0]-50) > 1e-2 {
		t.Errorf("points %+v, want 50 °F over 48.2 °F", p.Points)
	}
	all := r.String() + strings.Join(r.Reasons, ";")
	for _, w := range r.Warnings {
		all += w.Text
	}
	if strings.Contains(all, "°C") || !strings.Contains(all, "°F") {
		t.Errorf("texts in °F: %s", all)
	}
	change, err := engine.CompareIcing(s, s)
	if err != nil {
		t.Fatal(err)
	}
	if text := strings.Join(change.In(r.Units).Changed.Reasons, ";"); strings.Contains(text, "°C") {
		t.Errorf("a change's reasons: %s", text)
	}
}
