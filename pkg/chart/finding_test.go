package chart

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/duct"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/heat"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

var kelvin = quantity.KindTemperatureDifference.SI()

// between95 is an estimate with a 95 % interval.
func between95(low, value, high float64) estimate.Estimate {
	return estimate.Between("change", value, kelvin, estimate.Interval{Low: low, High: high, Level: 0.95}, estimate.BetweenDrives, 4)
}

func oneDifference(v compare.Verdict, low, value, high float64, units quantity.Preferred) []compare.Difference {
	return []compare.Difference{{Stratum: "open road", Primary: true, Verdict: v, Units: units, Change: between95(low, value, high),
		Before: compare.Mean{Drives: 3, Rise: between95(18, 20, 22)}, After: compare.Mean{Drives: 3, Rise: between95(8, 10, 12)}}}
}

// flatDrive has an intake that lies so many kelvin above ambient all the time.
func flatDrive(t *testing.T, configuration string, rise float64) *drive.Drive {
	t.Helper()
	d := testDrive(t)
	d.Configuration, d.Name = configuration, configuration
	ambient := d.Channels[drive.Ambient].Series
	v := make([]float64, ambient.Len())
	for i := range v {
		v[i] = ambient.Value[i] + rise
	}
	d.Channels[drive.Intake].Series = ambient.With("intake", ambient.Dimension, v)
	return d
}

// The title of a picture says what was found: with another finding it is another,
// and in the reader's units.
func TestTitlesSayTheFinding(t *testing.T) {
	mine := quantity.Preferred{Temperature: quantity.KindTemperature.Unit("°F")}.Matching()
	opened := thermostat.Result{Outcome: thermostat.Opened, Onset: 641, Interval95: series.Interval{From: 636, To: 646}}
	ducts := func(low, value, high, cooler float64) []duct.Point {
		return []duct.Point{{EngineSpeed: 200, Power: estimate.Within("power", value, quantity.KindShare.Shown(), low, high), Gained: estimate.Within("gained", cooler, kelvin, cooler-1, cooler+1)}}
	}
	mayDoEither := ducts(-0.01, 0.01, 0.03, 9)
	mayDoEither[0].Units = mine
	curve := engine.Curve{Speed: []quantity.RotationalSpeed{200, 400}, Torque: []quantity.Torque{100, 110}, Power: []quantity.Power{20e3, 60e3}}
	power := func(a, b float64) engine.Band {
		return curve.Scale(engine.Effect{Estimates: []engine.StandardChange{{Change: a}, {Change: b}}, Weakest: a, Strongest: b})
	}
	balance := func(low, radiator, high float64) heat.Analysis {
		return heat.Analysis{Drive: "d", FromRadiator: between95(low, radiator, high), RiseAfter: between95(15, 20, 25)}
	}
	offset := func(best float64, more ...clock.Alternative) clock.Result {
		return clock.Result{Offset: best, Interval: series.Interval{From: best - 1, To: best + 1}, Alternatives: more,
			Profile: clock.Profile{Offset: []float64{best - 1, best, best + 1}, LogLikelihood: []float64{-2, 0, -2}}}
	}
	rise := func(stratum string, k float64) compare.DriveRise {
		return compare.DriveRise{Drive: "1", Configuration: "a", Stratum: stratum, Mean: quantity.KelvinDifference(k)}
	}
	old, changed := flatDrive(t, "old", 20), flatDrive(t, "new", 15)
	both := []*drive.Drive{old, changed}
	for _, c := range []struct {
		what  string
		title string
		has   []string
	}{
		{"cooler", Differences(oneDifference(compare.Cooler, -12, -10, -8, quantity.Preferred{})).Title, []string{"open road", "10.0 K cooler", "95 %: −12.0 to −8.0 K"}},
		{"warmer", Differences(oneDifference(compare.Warmer, 8, 10, 12, quantity.Preferred{})).Title, []string{"10.0 K warmer", "+8.0 to +12.0 K"}},
		{"undecided", Differences(oneDifference(compare.Undecided, -9, -1, 7, quantity.Preferred{})).Title, []string{"undecided", "−9.0 to +7.0 K"}},
		{"cooler in °F", Differences(oneDifference(compare.Cooler, -12, -10, -8, mine)).Title, []string{"18.0 °F cooler", "−21.6 to −14.4 °F"}},
		{"before and after", BeforeAfter(nil, oneDifference(compare.Warmer, 8, 10, 12, mine), "old", "new").Title, []string{"new after old", "warmer in 1"}},
		{"the opening", openingTitle(&drive.Drive{Name: "d"}, opened), []string{"opens at 10:41 min", "10:36 to 10:46"}},
		{"no opening", openingTitle(&drive.Drive{Name: "d"}, thermostat.Result{Outcome: thermostat.NotReached}), []string{"not reached"}},
		{"the radiator", HeatBalance(balance(10, 14, 18)).Title, []string{"14.0 K of the 20.0 K"}},
		{"no radiator", HeatBalance(balance(-3, 1, 5)).Title, []string{"nothing that shows", "−3.0 to 5.0 K"}},
		{"less power", PowerCurve(power(-0.1, -0.05)).Title, []string{"60.0 kW becomes 54.0 to 57.0 kW", "−10.0 to −5.0 %"}},
		{"more power", PowerCurve(power(0.05, 0.1)).Title, []string{"63.0 to 66.0 kW", "+5.0 to +10.0 %"}},
		{"a duct that helps", Duct(ducts(0.01, 0.03, 0.04, 15)).Title, []string{"gains power", "+3.0 %", "15 K cooler"}},
		{"one that harms", Duct(ducts(-0.04, -0.03, -0.01, -5)).Title, []string{"costs power", "−3.0 %", "5 K warmer"}},
		{"one that may do either", Duct(mayDoEither).Title, []string{"may gain or cost", "16 °F cooler"}},
		{"a clock ahead", ClockProfile(offset(-3595), 10).Title, []string{"3595.0 s ahead", "3594.0 to 3596.0 s"}},
		{"a clock behind", ClockProfile(offset(60), 10).Title, []string{"60.0 s behind"}},
		{"clocks that agree", ClockProfile(offset(0.5), 10).Title, []string{"agree within 1.5 s"}},
		{"two offsets", ClockProfile(offset(60, clock.Alternative{Offset: 0}), 10).Title, []string{"2 offsets"}},
		{"a curve", Curves("A climb", "grade (%)", "intake (°C)", Curve{Name: "intake", X: []float64{0, 4}, Y: []float64{27.4, 33.1}}).Title, []string{"A climb: intake 27.4 °C at 0 %, 33.1 °C at 4 %"}},
		{"the other way", Curves("A climb", "grade (%)", "y", Curve{X: []float64{0, 4}, Y: []float64{330, 270}}).Title, []string{"330 at 0 %, 270 at 4 %"}},
		{"effects", Effects("Heat", "rise (K)", []float64{0, 30}, []engine.Effect{{}, {Estimates: []engine.StandardChange{{Change: -0.05}, {Change: -0.06}}, Weakest: -0.05, Strongest: -0.06}}).Title, []string{"−6.0 to −5.0 % of power at 30 K"}},
		{"ice", IcingZones(IcingDay{Name: "old", Risk: engine.Icing{Risk: engine.IcingUnlikely}}, IcingDay{Name: "new", Risk: engine.Icing{Risk: engine.IcingUnlikely + 1}}).Title, []string{"with new"}},
		{"no ice", IcingZones(IcingDay{Name: "old"}, IcingDay{Name: "new"}).Title, []string{"unlikely with every air"}},
		{"not to be compared", Differences(oneDifference(compare.NotComparable, -34, -10, 8, quantity.Preferred{})).Title, []string{"not comparable, with "}},
		{"a gap", Coverage(testDrive(t)).Title, []string{"the longest gap is 2:02 min"}},
		{"every drive", EveryDrive(both).Title, []string{"2 drives", "old 20 K", "new 15 K"}},
		{"since the opening", SinceOpening(both, []thermostat.Result{opened, opened}).Title, []string{"2 drives", "old 20 K", "new 15 K"}},
		{"rises", Rises([]compare.DriveRise{rise("stopped", 30), rise("steady", 10)}).Title, []string{"most stopped (30.0 K)", "least steady (10.0 K)"}},
		{"rises, the other way", Rises([]compare.DriveRise{rise("stopped", 5), rise("steady", 10)}).Title, []string{"most steady (10.0 K)"}},
		{"a cup", CupTest(sensor.Cup{Names: []string{"a", "b"}, Times: []float64{30, 90}, AsRead: [][]float64{{300, 300}, {301, 301}}, Corrected: [][]float64{{300.5, 300.5}, {300.5, 300.5}}, Before: 0.7, After: 0.01}).Title,
			[]string{"2 probes", "0.70 K off", "0.01 K corrected"}},
		{"a cup in °F", CupTest(sensor.Cup{Names: []string{"a"}, Times: []float64{30}, AsRead: [][]float64{{300}}, Corrected: [][]float64{{300}}, Before: 1}, mine).Title, []string{"1 probe ", "1.80 °F"}},
	} {
		for _, part := range c.has {
			if !strings.Contains(c.title, part) {
				t.Errorf("%s: %q does not say %q", c.what, c.title, part)
			}
		}
	}
}

// One drive has neither mean nor interval; no drive has no picture.
func TestOneDriveAndNone(t *testing.T) {
	rises := []compare.DriveRise{{Drive: "1", Configuration: "old", Stratum: "steady", Mean: 20}, {Drive: "2", Configuration: "new", Stratum: "steady", Mean: 10}}
	d := compare.Difference{Stratum: "steady", Verdict: compare.NotComparable, Before: compare.Mean{Drives: 1, Rise: between95(18, 20, 22)}, After: compare.Mean{Drives: 1, Rise: between95(8, 10, 12)}}
	f := drawn(t, BeforeAfter(rises, []compare.Difference{d}, "old", "new"))
	for _, q := range f.Panels[0].Points {
		if strings.Contains(q.Label, "mean") || len(q.Lo) > 0 {
			t.Errorf("one drive is drawn as %q", q.Label)
		}
	}
	if !slices.ContainsFunc(f.Caption, func(s string) bool { return strings.Contains(s, "One drive has no interval") }) {
		t.Errorf("caption %q", f.Caption)
	}
	if !strings.Contains(f.Title, "not comparable in 1") {
		t.Errorf("title %q", f.Title)
	}
	if q := f.Panels[0].Points[0]; len(q.Values) != 1 || q.Values[0] != "20.0" {
		t.Errorf("beside one drive stands %q, want its value", q.Values)
	}
	d.Primary, d.Change = true, between95(-330, -10, 280)
	f = drawn(t, Differences([]compare.Difference{d}))
	if q := f.Panels[0].Points[0]; !math.IsNaN(q.Lo[0]) || !math.IsNaN(q.Hi[0]) || q.Values[0] != "−10.0" || f.Panels[0].Limits != nil {
		t.Errorf("one drive a side is drawn with an interval, %+v", q)
	}
	if !slices.ContainsFunc(f.Caption, func(s string) bool { return strings.Contains(s, "One drive a side has no interval") }) || strings.Contains(strings.Join(f.Caption, " "), "bars") {
		t.Errorf("caption %q", f.Caption)
	}
	for name, f := range map[string]*Figure{"before and after": BeforeAfter(nil, nil, "old", "new"), "differences": Differences(nil), "rises": Rises(nil),
		"duct": Duct(nil), "cup": CupTest(sensor.Cup{}), "every drive": EveryDrive(nil), "since opening": SinceOpening(nil, nil),
		"next drives": NextDrives(compare.Difference{Stratum: "steady"}, 10), "budget": Budget(estimate.Estimate{Name: "x"}), "balance": HeatBalance(heat.Analysis{Drive: "d"})} {
		if _, err := f.PNG(); err == nil {
			t.Errorf("%s: a picture of nothing", name)
		}
		if got := f.String(); !strings.HasPrefix(got, "[no chart]") {
			t.Errorf("%s: %q", name, got)
		}
	}
}

// A line that another one would cover is drawn once, and the axis of what it
// gains holds zero.
func TestDuctHidesNoLine(t *testing.T) {
	at := func(kmh, high float64) duct.Point {
		return duct.Point{EngineSpeed: 200, RoadSpeed: quantity.Speed(kmh) * quantity.KilometrePerHour, Power: estimate.Within("power", 0.03, quantity.KindShare.Shown(), 0.01, high),
			Gained: estimate.Within("gained", 15, kelvin, 14, 16), Lost: estimate.Within("lost", 500, quantity.KindPressure.SI(), 400, 600)}
	}
	f := drawn(t, Duct([]duct.Point{at(30, 0.04), at(110, 0.045)}))
	var names []string
	for _, l := range f.Panels[0].Lines {
		names = append(names, l.Label)
	}
	if !slices.Equal(names, []string{"without ram pressure", "at most at 110 km/h"}) {
		t.Errorf("lines %q", names)
	}
	if !f.Panels[1].ZeroLine || !f.Panels[2].ZeroLine {
		t.Error("an axis is cut")
	}
	if r := f.Panels[1].Ribbons; len(r) != 1 || math.Abs(r[0].Lo[0]-14) > 1e-9 || math.Abs(r[0].Hi[0]-16) > 1e-9 {
		t.Errorf("kelvin gained has the bounds %+v", r)
	}
}

// The evidence shows two minutes to both sides of the opening on an axis of its
// own, beside the whole drive.
func TestEvidenceComesNear(t *testing.T) {
	d := testDrive(t)
	onset := estimate.Between("onset", 600, quantity.KindDuration.SI(), estimate.Interval{Low: 596, High: 604, Level: 0.95}, estimate.WithinDrive, 10)
	f := drawn(t, Evidence(d, thermostat.Result{Outcome: thermostat.Opened, Onset: 600, Interval95: series.Interval{From: 596, To: 604},
		Evidence: []thermostat.Evidence{{Role: drive.TopTank, Onset: onset}}, Rejected: []thermostat.Candidate{{Role: drive.TopTank, Time: 650}, {Role: drive.Intake, Time: 1500}}}))
	if len(f.Panels) != 2 || f.Panels[0].Axis != nil || f.Panels[1].Axis == nil {
		t.Fatalf("%d panels", len(f.Panels))
	}
	if a := f.Panels[1].Axis; math.Abs(a.From-8) > 1e-9 || math.Abs(a.To-12) > 1e-9 {
		t.Errorf("from %v to %v min, want 8 to 12", a.From, a.To)
	}
	if n := len(f.Panels[0].Markers); n != 2 {
		t.Errorf("%d marks on the whole drive, want the opening and the candidate far from it", n)
	}
	if n := len(f.Panels[1].Markers); n != 2 {
		t.Errorf("%d marks near the opening, want the onset and the candidate", n)
	}
	for _, m := range f.Panels[0].Markers[1:] {
		if m.Label != "" {
			t.Errorf("%q stands at a candidate's line, where it may cover the opening's", m.Label)
		}
	}
	if !slices.ContainsFunc(f.Caption, func(s string) bool {
		return strings.Contains(s, "rejected as the opening: top-tank at 10:50 min, intake at 25:00 min")
	}) {
		t.Errorf("caption %q does not name the candidates that were rejected", f.Caption)
	}
}

// The parts of the balance stand on one another and end at the sum.
func TestBalanceAddsUp(t *testing.T) {
	f := drawn(t, HeatBalance(heat.Analysis{Drive: "d", RiseBefore: between95(3, 5, 7), FromRadiator: between95(10, 12, 14), Rest: between95(0, 1, 2), RiseAfter: between95(16, 18, 20), HeatSoak: between95(20, 30, 40)}))
	bars, total := f.Panels[0].Lines[0], f.Panels[0].Lines[1]
	if want := []float64{0, 5, 5, 17, 17, 18}; !slices.Equal(present(bars.Y), want) {
		t.Errorf("parts %v, want %v", present(bars.Y), want)
	}
	if want := []float64{0, 18}; !slices.Equal(present(total.Y), want) {
		t.Errorf("sum %v, want %v", present(total.Y), want)
	}
	if c := f.Panels[1].Axis.Categories; !slices.Equal(c, []string{"soak at stops"}) {
		t.Errorf("apart from these: %q", c)
	}
}

func present(all []float64) (kept []float64) {
	for _, v := range all {
		if !math.IsNaN(v) {
			kept = append(kept, v)
		}
	}
	return kept
}

// The largest part of a budget is named, and bars are as long as the parts.
func TestBudgetNamesTheLargest(t *testing.T) {
	part := func(id string, effect float64) estimate.Contribution {
		return estimate.Contribution{Source: estimate.Source{Kind: estimate.Scatter, ID: id}, Effect: effect}
	}
	for _, c := range []struct {
		a, b  float64
		title string
	}{{3, 1, "mostly drives (90 % of the variance)"}, {1, 3, "mostly probe (90 % of the variance)"}} {
		e, err := estimate.New("change", 5, kelvin, 0.95, estimate.BetweenDrives, part("drives", c.a), part("probe", c.b))
		if err != nil {
			t.Fatal(err)
		}
		f := drawn(t, Budget(e))
		if !strings.Contains(f.Title, c.title) {
			t.Errorf("%q does not say %q", f.Title, c.title)
		}
		if x := present(f.Panels[0].Lines[0].X); math.Abs(x[1]-90) > 1e-6 {
			t.Errorf("bars end at %v", x)
		}
	}
}

// More drives make the interval narrower, and the title says by how much.
func TestNextDrivesNarrow(t *testing.T) {
	var rises []compare.DriveRise
	road := compare.DefaultRules().Strata[4]
	for i, k := range []float64{20, 21, 19, 10, 11, 9} {
		side := []string{"old", "new"}[i/3]
		rises = append(rises, compare.DriveRise{Drive: side + string(rune('1'+i)), Configuration: side, Stratum: road.Name, ID: road.ID, Mean: quantity.KelvinDifference(k), Temperature: quantity.Celsius(20 + k), Ambient: quantity.Celsius(20), Time: 600, Stretches: 3, Speed: 20})
	}
	all, err := compare.Configurations(rises, "old", "new", compare.DefaultRules())
	if err != nil {
		t.Fatal(err)
	}
	all = all[4:5]
	f := drawn(t, NextDrives(all[0], 8))
	if y := f.Panels[0].Lines[0].Y; len(y) != 5 || !slices.IsSortedFunc(y, func(a, b float64) int { return int(math.Copysign(1, b-a)) }) {
		t.Errorf("half-widths %v, want five that fall", y)
	}
	if !strings.Contains(f.Title, "another drive with each would narrow it") {
		t.Errorf("title %q", f.Title)
	}
	if f := NextDrives(all[0], 3); !strings.Contains(f.Title, "3 drives with each configuration already") {
		t.Errorf("title %q", f.Title)
	}
}

// The title of an overlay says what is seen: how far two series begin or lie apart,
// else what they span.
func TestTitleOfOverlay(t *testing.T) {
	one := func(name string, celsius ...float64) *series.Series {
		times, kelvins := make([]float64, len(celsius)), make([]float64, len(celsius))
		for i, v := range celsius {
			times[i], kelvins[i] = float64(i), quantity.Celsius(v).Kelvin()
		}
		s, err := series.New(name, series.Temperature, time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC), times, kelvins)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	bay, intake := one("bay", 20, 61, 58), one("intake", -5, 34)
	if got := Overlay("", []*series.Series{bay, intake}, []*series.Series{intake}).Title; got != "bay, intake: −5 to 61 °C; intake: −5 to 34 °C" {
		t.Errorf("title %q", got)
	}
	late := bay.Shift(600)
	late.Name = "late"
	warmer := one("outer", 22, 62.5, 58.5)
	for want, all := range map[string][]*series.Series{
		"title: bay from 20 to 61 °C":                     {bay},
		"title: bay, bay, intake from −5 to 61 °C":        {bay, bay, intake},
		"title: late begins 10.0 min after bay":           {late, bay},
		"title: bay and outer are 1.3 K apart on average": {bay, warmer},
	} {
		if got := Overlay("title", all).Title; got != want {
			t.Errorf("title %q, want %q", got, want)
		}
	}
}

// A change of which nothing may be said looks unlike one that is told, and an
// interval of another kind of driving does not set the scale.
func TestScaleOfChanges(t *testing.T) {
	d := oneDifference(compare.NotComparable, -34, -12, 8, quantity.Preferred{})[0]
	d.Primary = true
	wide := oneDifference(compare.NotComparable, -330, -20, 280, quantity.Preferred{})[0]
	wide.Primary = false
	onesided := compare.Difference{Stratum: "full throttle", After: compare.Mean{Drives: 1}, Change: estimate.Unknown("change", quantity.KindTemperatureDifference.SI(), "one side")}
	f := drawn(t, Differences([]compare.Difference{wide, d, onesided}))
	if len(f.Categories) != 2 || strings.Contains(f.Categories[0], "drives") {
		t.Errorf("categories %q, want two; as many drives stand behind both", f.Categories)
	}
	p := f.Panels[0]
	if l := p.Limits; l == nil || l.To-l.From > 3.2*42 || l.From > -34 || l.To < 8 {
		t.Errorf("limits %+v, want some three times the interval of the question, −34 to 8", l)
	}
	if !slices.ContainsFunc(f.Caption, func(s string) bool { return strings.Contains(s, "go on beyond") }) {
		t.Errorf("caption %q does not say that bars are cut", f.Caption)
	}
	if len(p.Points) != 1 || !p.Points[0].Style.Hollow || p.Points[0].Label == "" {
		t.Errorf("drawn as %+v, want rings with a name in the legend", p.Points)
	}
	told := oneDifference(compare.Cooler, -14, -12, -10, quantity.Preferred{})[0]
	told.Primary = false
	f = drawn(t, Differences([]compare.Difference{told, d}))
	if p := f.Panels[0]; p.Limits != nil || len(p.Points) != 2 || p.Points[0].Style.Hollow {
		t.Errorf("limits %+v and %d looks, want none and two", p.Limits, len(p.Points))
	}
}

// An onset is said as its axis has it: 641 s are 10.68 min, 10:41 on a clock.
func TestOnsetReadsLikeItsAxis(t *testing.T) {
	if got := onsetLabel(641); got != "onset 10.68 min (10:41)" {
		t.Error(got)
	}
}

// A source that would read 0.0 % has no row, and is counted.
func TestBudgetDrawsNoZero(t *testing.T) {
	e, err := estimate.New("change", -10, quantity.KindTemperatureDifference.SI(), 0.95, estimate.BetweenDrives,
		estimate.Contribution{Source: estimate.Source{Kind: estimate.Scatter, ID: "drives"}, Effect: 1},
		estimate.Contribution{Source: estimate.Source{Kind: estimate.Scatter, ID: "speed"}, Effect: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	f := drawn(t, Budget(e))
	if rows := f.Panels[0].Rows; len(rows) != 1 || !slices.ContainsFunc(f.Caption, func(s string) bool { return strings.Contains(s, "1 more source: below 0.1 %") }) {
		t.Errorf("rows %q, caption %q", rows, f.Caption)
	}
}
