package chart_test

import (
	"bytes"
	"compress/gzip"
	"encoding/base64"
	"encoding/json"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/chart"
	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/duct"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/frame"
	"github.com/bonnetbook/bonnetbook/pkg/heat"
	. "github.com/bonnetbook/bonnetbook/pkg/notebook"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// named is a picture of the demo.
type named struct {
	name   string
	figure *chart.Figure
}

// demoFigures draws pictures of every kind from the demo, as the notebooks do.
func demoFigures(c *campaign.Campaign) []named {
	all := driveFigures(c)
	all = append(append(all, kitchenFigures()...), clockFigures()...)
	return append(all, powerFigures(c)...)
}

func driveFigures(c *campaign.Campaign) []named {
	d := Must(c.Drive("open filters, first run"))
	opening := Must(thermostat.Find(d))
	pieces := Must(segment.SplitAfter(d, opening, segment.DefaultRules()))
	rises := Must(compare.Rises([]compare.Run{{Drive: d, Segments: pieces}}, compare.DefaultRules()))
	f := frame.Of([]*drive.Drive{d}, frame.DefaultOptions()).Minus("rise", "intake", "ambient")
	return []named{
		{"temperatures", chart.Temperatures(d)},
		{"temperatures-marked", chart.Temperatures(d, chart.Opening(opening), chart.Segments(pieces))},
		{"rise", Must(chart.Rise(d, chart.Opening(opening), chart.Segments(pieces)))},
		{"rises-one-drive", chart.Rises(rises)},
		{"evidence", chart.Evidence(d, opening)},
		{"heat-balance", chart.HeatBalance(Must(heat.Analyse(d, opening, pieces)))},
		{"coverage", chart.Coverage(d)},
		{"scatter", Must(f.Scatter("speed", "rise", "driving"))},
		{"map", Must(f.Map("engine-bay"))},
		{"box", Must(f.Box("rise", "driving"))},
		{"histogram", Must(f.Histogram("rise", "1 K"))},
		{"histogram-ambient", Must(f.Histogram("ambient", "0.5 K"))},
	}
}

func kitchenFigures() []named {
	random := rand.New(rand.NewPCG(1, 2))
	var cup []*series.Series
	for i, e := range []float64{0.3, -0.5, 0.8, 0.2} {
		var t, v []float64
		for s := 0.0; s < 1800; s += 2 {
			t, v = append(t, s), append(v, math.Round(10*(293+40*math.Exp(-s/2400)+e+0.05*random.NormFloat64()))/10)
		}
		cup = append(cup, Must(series.New("probe "+strconv.Itoa(i+1), series.Temperature, time.Time{}, t, v)))
	}
	var t, v, w []float64
	for s := 0.0; s < 120; s++ {
		water, probe := 294.0, 294.0
		if s > 20 {
			water, probe = 324, 324-30*math.Exp(-(s-20)/9)
		}
		t, v, w = append(t, s), append(v, probe+0.05*random.NormFloat64()), append(w, water)
	}
	dip, truth := Must(series.New("probe", series.Temperature, time.Time{}, t, v)), Must(series.New("water", series.Temperature, time.Time{}, t, w))
	sharp, what, err := sensor.CorrectLag(dip, 9, sensor.LagOptions{MaxRatio: 10})
	Must0(err)
	return []named{
		{"cup-test", chart.CupTest(Must(sensor.SameCup(cup, series.Interval{From: 0, To: 1800}, sensor.CupOptions{})))},
		{"lag-correction", chart.LagCorrection(dip, sharp, what, truth)},
	}
}

func clockFigures() []named {
	a := Must(Must(recording.Open("../../testdata/demo/open-2-logger-a.csv", recording.Options{})).Column("T2")).Series
	b := Must(Must(recording.Open("../../testdata/demo/open-2-logger-b.txt", recording.Options{})).Column("K1")).Series
	found := Must(clock.FromSharedQuantity(a, b, clock.DefaultOptions()))
	return []named{
		{"as-written", chart.Overlay("as written", []*series.Series{a, clock.Stated(0, 0, 0, b.Start).Apply(b, a.Start)})},
		{"one-clock", chart.Overlay("on one clock", []*series.Series{a, found.Apply(b, a.Start)})},
		{"clock-profile", chart.ClockProfile(found, 30)},
	}
}

func powerFigures(c *campaign.Campaign) []named {
	outside := Must(air.NewState(1005*quantity.Hectopascal, quantity.Celsius(18), 60*quantity.PercentHumidity))
	warm := Must(outside.Heated(quantity.Celsius(55)))
	cool := Must(outside.Heated(quantity.Celsius(24)))
	var kelvins []float64
	var effects []engine.Effect
	for k := 0.0; k <= 45; k += 1.5 {
		hot := Must(outside.Heated(quantity.Celsius(18 + k)))
		kelvins, effects = append(kelvins, k), append(effects, Must(engine.ChangeOfPower(outside, hot)))
	}
	curve := Must(engine.RatedCurve(c.Engine, nil))
	mild := Must(engine.CompareIcing(warm, cool))
	filter := duct.Filter(60*quantity.LitrePerSecond, 0.6*quantity.Kilopascal)
	bore := 60 * quantity.Millimetre
	hose := duct.Duct{Name: "hose", Parts: []duct.Part{duct.Entry(bore, 0.1), duct.CorrugatedHose(bore, 0.9*quantity.Metre), filter, duct.Plenum(bore)}}
	installation := duct.Installation{Engine: c.Engine, Duct: hose, Present: duct.Duct{Name: "open filters", Parts: []duct.Part{filter}},
		Outside: outside, PresentIntake: quantity.Celsius(36), Bay: duct.Surroundings{Temperature: quantity.Celsius(55)}, RamHigh: 0.3}
	var speeds []quantity.RotationalSpeed
	for n := 1500.0; n <= 6000; n += 500 {
		speeds = append(speeds, quantity.RotationalSpeed(n)*quantity.RevolutionPerMinute)
	}
	roads := []quantity.Speed{30 * quantity.KilometrePerHour, 110 * quantity.KilometrePerHour}
	return []named{
		{"effects", chart.Effects("What a rise over ambient costs at full throttle", "rise over ambient (K)", kelvins, effects)},
		{"power-curve", chart.PowerCurve(curve.Scale(Must(engine.ChangeOfPower(outside, warm))))},
		{"icing", chart.IcingZones(chart.IcingDay{Name: "mild day, old part", Risk: mild.Present}, chart.IcingDay{Name: "mild day, new part", Risk: mild.Changed})},
		{"duct", chart.Duct(Must(installation.Table(speeds, roads)))},
	}
}

func comparisonFigures(c *campaign.Campaign) []named {
	const before, after = "open filters", "cold-air duct"
	answer := Must(verdict.Of(c, verdict.Question{Before: before, After: after, Comparing: compare.DefaultRules()}))
	return []named{
		{"before-after", chart.BeforeAfter(answer.Rises, answer.Differences, before, after, answer.LeftOut...)},
		{"differences", chart.Differences(answer.Differences, answer.LeftOut...)},
		{"rises", chart.Rises(answer.Rises)},
		{"every-drive", chart.EveryDrive(answer.Joined, answer.LeftOut...)},
		{"since-opening", sinceOpening(answer)},
		{"by-place", Must(chart.ByPlace(answer.Joined[0], answer.Joined[1]))},
		{"budget", chart.Budget(primary(answer).Change)},
		{"next-drives", chart.NextDrives(primary(answer), 10)},
		{"rise-against-speed", Must(frame.Of(answer.Joined, frame.DefaultOptions()).Minus("rise", "intake", "ambient").Scatter("speed", "rise", "configuration"))},
	}
}

func sinceOpening(a *verdict.Answer) *chart.Figure {
	var drives []*drive.Drive
	var openings []thermostat.Result
	for _, r := range a.Runs {
		drives, openings = append(drives, r.Drive), append(openings, r.Opening)
	}
	return chart.SinceOpening(drives, openings)
}

func primary(a *verdict.Answer) compare.Difference {
	for _, d := range a.Differences {
		if d.Primary {
			return d
		}
	}
	return a.Differences[0]
}

// Every interactive form of the demo's pictures is at most 80,000 bytes long.
// With BONNETBOOK_PICTURES all forms are written into that folder, for people
// to look at and for the tests in a browser.
func TestInteractiveFormsAreSmall(t *testing.T) {
	folder := os.Getenv("BONNETBOOK_PICTURES")
	c := Must(campaign.Open("../../testdata/demo/campaign.toml"))
	all := demoFigures(c)
	if folder != "" { // the verdict takes seconds
		all = append(all, comparisonFigures(c)...)
	}
	for _, p := range all {
		page, err := p.figure.Interactive()
		if err != nil {
			t.Errorf("%s: %v", p.name, err)
		}
		if len(page) > 80_000 {
			t.Errorf("%s: %d bytes", p.name, len(page))
		}
		if folder != "" {
			if err := write(folder, p, page); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// write stores the still forms, the interactive form as a page, and the
// Vega-Lite document.
func write(folder string, p named, page string) error {
	png, err := p.figure.PNG()
	if err != nil {
		return err
	}
	svg, err := p.figure.SVG()
	if err != nil {
		return err
	}
	vega, err := p.figure.VegaLite()
	if err != nil {
		return err
	}
	bundle, err := json.Marshal(map[string]any{"image/png": png, "text/html": page, "text/plain": p.figure.String()})
	if err != nil {
		return err
	}
	whole := "<!DOCTYPE html><html><head><meta charset=utf-8><meta name=viewport content=\"width=device-width\"></head><body>" + page + "</body></html>"
	for ending, data := range map[string][]byte{".png": png, ".svg": svg, ".vl.json": vega, ".html": []byte(whole), ".bundle.json": bundle} {
		if err := os.WriteFile(filepath.Join(folder, p.name+ending), data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// Ten million samples are drawn in under a second (measured, not asserted).
func BenchmarkTenMillionSamples(b *testing.B) {
	const n = 10_000_000
	l := chart.Line{Label: "a", X: make([]float64, n), Y: make([]float64, n)}
	for i := range l.X {
		l.X[i], l.Y[i] = float64(i)/600, float64(i%7919)
	}
	f := &chart.Figure{Title: "t", XLabel: "time (min)", Panels: []chart.Panel{{YLabel: "y (°C)", Lines: []chart.Line{l}}}}
	for form, draw := range map[string]func() error{
		"still":       func() error { _, err := f.PNG(); return err },
		"interactive": func() error { _, err := f.Interactive(); return err },
	} {
		b.Run(form, func(b *testing.B) {
			for b.Loop() {
				if err := draw(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// The highest and the lowest of 200,000 readings are in both drawings of the
// interactive form, with their values and at their places.
func TestNoPeakIsLost(t *testing.T) {
	const n, peak, dip = 200_000, 123_457, 45_678
	l := chart.Line{Label: "a", X: make([]float64, n), Y: make([]float64, n)}
	for i := range l.X {
		l.X[i] = float64(i)
	}
	l.Y[peak], l.Y[dip] = 100, -50
	f := &chart.Figure{Title: "t", XLabel: "x", Panels: []chart.Panel{{YLabel: "y", Lines: []chart.Line{l}}}}
	page := Must(f.Interactive())
	if len(page) > 80_000 {
		t.Errorf("%d bytes", len(page))
	}
	for which, svg := range drawings(t, page) {
		low, high := reach(t, svg)
		for _, c := range []struct {
			what         string
			got          place
			wantX, wantY float64
		}{{"highest", high, peak, 100}, {"lowest", low, dip, -50}} {
			if p := c.got; !(math.Abs(p.x-c.wantX) <= p.dx && math.Abs(p.y-c.wantY) <= p.dy) {
				t.Errorf("%s drawing: %s at (%v, %v), want (%v, %v) within %v and %v", which, c.what, p.x, p.y, c.wantX, c.wantY, p.dx, p.dy)
			}
		}
	}
}

// drawings are the two that an interactive form holds.
func drawings(t *testing.T, page string) map[string]string {
	t.Helper()
	wide := regexp.MustCompile(`src="data:image/svg\+xml;base64,([^"]+)"`).FindStringSubmatch(page)
	narrow := regexp.MustCompile(`data-narrow="([^"]+)"`).FindStringSubmatch(page)
	if wide == nil || narrow == nil {
		t.Fatal("the form does not hold two drawings")
	}
	packed := Must(gzip.NewReader(bytes.NewReader(Must(base64.StdEncoding.DecodeString(narrow[1])))))
	return map[string]string{"wide": string(Must(base64.StdEncoding.DecodeString(wide[1]))), "narrow": string(Must(io.ReadAll(packed)))}
}

// place is a point of a drawing in the units of its axes; dx and dy are a tenth
// of a point on the sheet, to which a drawing is written.
type place struct{ x, y, dx, dy float64 }

// reach reads the lowest and the highest point of the line "a" off a drawing.
func reach(t *testing.T, svg string) (low, high place) {
	t.Helper()
	path := regexp.MustCompile(`<path d="M(-?\d+) (-?\d+)l([-\d ]+)" data-name="a"`).FindStringSubmatch(svg)
	area := regexp.MustCompile(`data-x="(\S+) (\S+)" data-y="(\S+) (\S+)".* width="(\S+)" height="(\S+)" fill="none"/></svg>$`).FindStringSubmatch(svg)
	if path == nil || area == nil {
		t.Fatal("the drawing holds no line of one piece in an area")
	}
	number := func(text string) float64 { return Must(strconv.ParseFloat(text, 64)) }
	x0, x1, y0, y1 := number(area[1]), number(area[2]), number(area[3]), number(area[4])
	dx, dy := (x1-x0)/number(area[5])/10, (y1-y0)/number(area[6])/10
	low, high = place{y: math.Inf(1)}, place{y: math.Inf(-1)}
	x, y := 0.0, 0.0
	steps := regexp.MustCompile(`-?\d+`).FindAllString(strings.Join(path[1:], " "), -1)
	for k := 0; k+1 < len(steps); k += 2 {
		x, y = x+number(steps[k]), y+number(steps[k+1])
		p := place{x0 + x*dx, y1 - y*dy, dx, dy}
		if p.y < low.y {
			low = p
		}
		if p.y > high.y {
			high = p
		}
	}
	return low, high
}

// Two drives of the demo at the same places: the title says which was cooler,
// and turns with their order.
func TestByPlaceTurnsRound(t *testing.T) {
	c := Must(campaign.Open("../../testdata/demo/campaign.toml"))
	a, b := Must(c.Drive("open filters, first run")), Must(c.Drive("cold-air duct, first run"))
	for _, o := range []struct {
		first, second *drive.Drive
		want          string
	}{{a, b, "\"cold-air duct, first run\" was cooler"}, {b, a, "\"open filters, first run\" was warmer"}} {
		f := Must(chart.ByPlace(o.first, o.second))
		if !strings.Contains(f.Title, o.want) {
			t.Errorf("%q does not say %q", f.Title, o.want)
		}
		for _, l := range f.Panels[0].Lines {
			if n := len(l.X); n < 100 || l.X[n-1] > 60 {
				t.Errorf("%s: %d places up to km %.0f", l.Label, n, l.X[n-1])
			}
		}
	}
	b.Units = quantity.Preferred{Temperature: quantity.KindTemperature.Unit("°F"), Speed: quantity.KindSpeed.Unit("mph")}.Matching()
	if f := Must(chart.ByPlace(b, a)); f.XLabel != "along the road (mi)" || !strings.Contains(f.Title, "°F") {
		t.Errorf("%q over %q", f.Title, f.XLabel)
	}
}
