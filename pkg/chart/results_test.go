package chart

import (
	"bytes"
	"image/png"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/duct"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/heat"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

func drawn(t *testing.T, f *Figure) *Figure {
	t.Helper()
	data, err := f.PNG()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := png.Decode(bytes.NewReader(data)); err != nil {
		t.Fatal(err)
	}
	if _, err := f.VegaLite(); err != nil {
		t.Fatal(err)
	}
	return f
}

func TestRisesLeavesOutWhatIsMissing(t *testing.T) {
	f := drawn(t, Rises([]compare.DriveRise{
		{Drive: "1", Configuration: "a", Stratum: "stopped", Mean: 20},
		{Drive: "1", Configuration: "a", Stratum: "steady", Mean: quantity.TemperatureDifference(math.NaN())},
		{Drive: "2", Configuration: "b", Stratum: "stopped", Mean: 10},
	}))
	if len(f.Categories) != 1 || f.Categories[0] != "stopped" {
		t.Errorf("categories %q, want stopped alone", f.Categories)
	}
	if n := len(f.Panels[0].Points); n != 2 {
		t.Errorf("%d configurations drawn, want 2", n)
	}
}

func TestClockProfileKeepsToItsSpan(t *testing.T) {
	f := drawn(t, ClockProfile(clock.Result{
		Offset: 100, Interval: series.Interval{From: 99, To: 101},
		Profile:      clock.Profile{Offset: []float64{0, 99, 100, 101, 500}, LogLikelihood: []float64{-9, -2, 0, -2, -9}},
		Alternatives: []clock.Alternative{{Offset: 99}, {Offset: 500}},
	}, 10))
	if x := f.Panels[0].Lines[0].X; len(x) != 3 || x[0] != 99 || x[2] != 101 {
		t.Errorf("offsets drawn: %v, want 99 to 101", x)
	}
	if n := len(f.Panels[0].Markers); n != 2 {
		t.Errorf("%d markers, want the best and one alternative", n)
	}
}

func TestDuctGroupsByRoadSpeed(t *testing.T) {
	at := func(rpm, kmh, power float64) duct.Point {
		return duct.Point{EngineSpeed: quantity.RotationalSpeed(rpm) * quantity.RevolutionPerMinute,
			RoadSpeed: quantity.Speed(kmh) * quantity.KilometrePerHour, Power: estimate.Within("power", power, quantity.KindShare.Shown(), power-0.01, power+0.01)}
	}
	f := drawn(t, Duct([]duct.Point{at(2000, 0, 0.01), at(2000, 100, 0.02), at(4000, 0, 0.03), at(4000, 100, 0.04)}))
	lines := f.Panels[0].Lines
	if len(lines) != 2 {
		t.Fatalf("%d lines, want one for each road speed", len(lines))
	}
	if y := lines[1].Y; len(y) != 2 || math.Abs(y[0]-2) > 1e-9 || math.Abs(y[1]-4) > 1e-9 {
		t.Errorf("power at 100 km/h drawn as %v %%, want 2 and 4", y)
	}
	// 10 K are 18 °F, 1 inHg is 3386.389 Pa, 100 km/h are 62 mph (NIST SP 811, B.8).
	there := at(2000, 100, 0.01)
	there.Gained = estimate.Within("gained", 10, quantity.KindTemperatureDifference.SI(), 9, 11)
	there.Lost = estimate.Within("lost", 3386.389, quantity.KindPressure.SI(), 3000, 4000)
	there.Units = quantity.Preferred{Temperature: quantity.KindTemperature.Unit("°F"), Speed: quantity.KindSpeed.Unit("mph"), Pressure: quantity.KindPressure.Unit("inHg")}.Matching()
	f = drawn(t, Duct([]duct.Point{there, there}))
	cooler, lost := f.Panels[1], f.Panels[2]
	if math.Abs(cooler.Lines[0].Y[0]-18) > 1e-9 || math.Abs(lost.Lines[0].Y[0]-1) > 1e-5 {
		t.Errorf("%v °F cooler, %v inHg lost; want 18 and 1", cooler.Lines[0].Y, lost.Lines[0].Y)
	}
	if !strings.Contains(cooler.YLabel, "°F") || !strings.Contains(lost.YLabel, "inHg") || f.Panels[0].Lines[0].Label != "at 62 mph" {
		t.Errorf("labels %q, %q, %q", cooler.YLabel, lost.YLabel, f.Panels[0].Lines[0].Label)
	}
}

func TestPowerAndEffects(t *testing.T) {
	c := engine.Curve{
		Speed:  []quantity.RotationalSpeed{2000 * quantity.RevolutionPerMinute, 4000 * quantity.RevolutionPerMinute},
		Torque: []quantity.Torque{100, 110}, Power: []quantity.Power{21e3, 46e3},
	}
	f := drawn(t, PowerCurve(c.Scale(engine.Effect{Estimates: []engine.StandardChange{{Change: -0.1}, {Change: -0.05}}, Weakest: -0.05, Strongest: -0.1})))
	if r := f.Panels[0].Ribbons[0]; math.Abs(r.Lo[0]-18.9) > 1e-9 || math.Abs(r.Hi[0]-19.95) > 1e-9 {
		t.Errorf("power from %v to %v kW, want 18.9 to 19.95", r.Lo[0], r.Hi[0])
	}
	for _, p := range f.Panels {
		if !p.ZeroLine {
			t.Errorf("%s is not drawn from zero, so that a change looks larger than it is", p.YLabel)
		}
	}
	e := engine.Effect{DensityChange: -0.1, Estimates: []engine.StandardChange{{Change: -0.05}, {Change: -0.06}}, Weakest: -0.05, Strongest: -0.06}
	f = drawn(t, Effects("title", "rise (K)", []float64{0, 30}, []engine.Effect{{}, e}))
	// The first effect has no estimates: its range is empty, from +∞ to −∞.
	if y := f.Panels[0].Lines[0].Y[1]; math.Abs(y+10) > 1e-9 {
		t.Errorf("density drawn at %v %%, want -10", y)
	}
}

func TestHeatBalanceShowsWhatIsKnown(t *testing.T) {
	f := drawn(t, HeatBalance(heat.Analysis{
		RiseBefore: estimate.Between("rise", 4, quantity.Unit{}, estimate.Interval{Low: 3, High: 5, Level: 0.95}, estimate.WithinDrive, 10),
		HeatSoak:   estimate.Unknown("soak", quantity.Unit{}, "no stop"),
	}))
	if c := f.Panels[0].Axis.Categories; len(c) != 1 || c[0] != "before opening" {
		t.Errorf("drawn: %q, want the one that is known", c)
	}
}

// Whoever reads °F and mph has them on the left, at the place of the same
// reading, and the others on the right. 20 °C are 68 °F, 1 mile 1.609344 km
// (NIST SP 811, 2008, B.8).
func TestAxesInTheReadersUnits(t *testing.T) {
	d := testDrive(t)
	usual := Temperatures(d)
	d.Units = quantity.Preferred{Temperature: quantity.KindTemperature.Unit("°F"), Speed: quantity.KindSpeed.Unit("mph")}.Matching()
	mine := Temperatures(d)
	for i, want := range []struct {
		left, right string
		of          func(float64) float64
	}{
		{"temperature (°F)", "°C", func(y float64) float64 { return 1.8*y + 32 }},
		{"speed (mph)", "km/h", func(y float64) float64 { return y / 1.609344 }},
	} {
		p := mine.Panels[i]
		if p.YLabel != want.left || p.Right.Label != want.right {
			t.Errorf("%q and %q, want %q and %q", p.YLabel, p.Right.Label, want.left, want.right)
		}
		x, y := usual.Panels[i].Lines[0].Y[7], p.Lines[0].Y[7]
		if math.Abs(want.of(x)-y) > 1e-9 || math.Abs(p.Right.Factor*y+p.Right.Offset-x) > 1e-9 {
			t.Errorf("%s: %.4f, and %.4f on the right, for %.4f", want.left, y, p.Right.Factor*y+p.Right.Offset, x)
		}
	}
	rise, err := Rise(d)
	if err != nil {
		t.Fatal(err)
	}
	if p := rise.Panels[0]; p.YLabel != "above ambient (°F)" || p.Right.Label != "K of difference" || p.Right.Offset != 0 {
		t.Errorf("%q and %v", p.YLabel, p.Right)
	}
}

// A scale of what has a zero holds it; that of a temperature shows what differs.
func TestCurvesHoldZero(t *testing.T) {
	c := Curve{Name: "curve", X: []float64{0, 1}, Y: []float64{90, 100}}
	for label, want := range map[string]bool{"change of power (%)": true, "drag": true, "intake (°C)": false, "intake (°F)": false} {
		if got := drawn(t, Curves("title", "x", label, c)).Panels[0].ZeroLine; got != want {
			t.Errorf("%s from zero: %v", label, got)
		}
	}
}

// A gap too short to be seen has a ring, one that is seen has none.
func TestCoverageShowsShortGaps(t *testing.T) {
	d := testDrive(t) // with a gap of 122 s in 1918 s
	if f := drawn(t, Coverage(d)); len(f.Panels[0].Points) != 0 {
		t.Errorf("%+v", f.Panels[0].Points)
	}
	s := d.Channels[drive.Speed].Series
	for i, at := range s.Time {
		if at > 300 && at < 312 {
			s.Value[i] = math.NaN()
		}
	}
	f := drawn(t, Coverage(d))
	if len(f.Panels[0].Points) != 1 {
		t.Fatalf("a gap beyond %v s in %v is drawn as %+v", drive.MaxGap, d.Interval(), f.Panels[0].Points)
	}
	if q := f.Panels[0].Points[0]; len(q.X) != 1 || math.Abs(q.X[0]-306.0/60) > 0.02 || q.Label == "" || f.Panels[0].Rows[len(f.Panels[0].Rows)-int(q.Y[0])] != "speed" {
		t.Errorf("%+v among %q", q, f.Panels[0].Rows)
	}
}
