package drive_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	. "github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

var start = time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC)

// channel samples f every step seconds from one time to another.
func channel(dim series.Dimension, from, to, step float64, f func(t float64) float64) *series.Series {
	var ts, vs []float64
	for t := from; t < to; t += step {
		ts, vs = append(ts, t), append(vs, f(t))
	}
	s, err := series.New("x", dim, start, ts, vs)
	if err != nil {
		panic(err)
	}
	return s
}

func celsius(c float64) func(float64) float64 {
	return func(float64) float64 { return c + 273.15 }
}

func assemble(t *testing.T, parts ...Part) *Drive {
	t.Helper()
	d, err := Assemble("one", "open filters", parts)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestAssemble(t *testing.T) {
	nan := math.NaN()
	gappy := channel(series.Temperature, 0, 600, 2, func(t float64) float64 {
		if t >= 100 && t < 160 {
			return nan
		}
		return 293.15
	})
	logger := Part{Device: "logger A", File: "a.csv", Reference: true, Inputs: []Input{
		{Role: Ambient, Series: gappy, Column: "1"},
		{Role: Intake, Series: channel(series.Temperature, 0, 600, 2, celsius(40)), Column: "2",
			Calibration: sensor.Calibration{Offset: quantity.KelvinDifference(-0.6), Uncertainty: quantity.KelvinDifference(0.2)}},
		{Role: TopTank, Series: channel(series.Temperature, 0, 600, 2, func(float64) float64 { return nan }), Column: "4"},
	}}
	phone := Part{Device: "phone", File: "p.csv", Clock: clock.Stated(-30, 0, 1, start), Inputs: []Input{
		{Role: Speed, Series: channel(series.Speed, 0, 600, 1, func(float64) float64 { return 10 }), Column: "speed"},
		{Role: Ambient, Series: channel(series.Temperature, 0, 600, 1, celsius(21)), Column: "t"},
	}}
	d := assemble(t, logger, phone)
	if !d.Start.Equal(start.Add(-30 * time.Second)) {
		t.Errorf("start %v: the phone began 30 s before the logger", d.Start)
	}
	if d.Has(TopTank) {
		t.Error("a channel without any value plays a role")
	}
	if len(d.Others) != 1 || d.Others[0].Device != "phone" || d.Channels[Ambient].Device != "logger A" {
		t.Errorf("the second ambient channel: %v", d.Others)
	}
	if got := d.Channels[Intake]; math.Abs(got.Series.Value[0]-(313.15-0.6)) > 1e-9 || got.Uncertainty != 0.2 {
		t.Errorf("intake %v, uncertainty %v", got.Series.Value[0], got.Uncertainty)
	}
	if got := d.Channels[Intake].Readings().Value[0]; math.Abs(got-313.15) > 1e-9 {
		t.Errorf("the calibration taken back gives %v, the file has 313.15", got)
	}
	q := d.Quality()
	var ambient QualityRow
	for _, r := range q.Rows {
		if r.Role == Ambient && !r.Spare {
			ambient = r
		}
	}
	// 300 rows, 30 missing, one gap from 98 to 160 s on the logger's clock,
	// which is 30 s later on the drive's; 536 of 628 s are covered.
	if ambient.Samples != 300 || ambient.Missing != 30 || len(ambient.Gaps) != 1 || math.Abs(ambient.Gaps[0].From-128) > 1e-6 || math.Abs(ambient.Gaps[0].To-190) > 1e-6 {
		t.Errorf("%+v", ambient)
	}
	if math.Abs(ambient.Coverage-536.0/628) > 0.002 {
		t.Errorf("coverage %v", ambient.Coverage)
	}
	for _, want := range []string{"62 s", "logger A", "spare", "no usable value", "−0.60 K"} {
		if !strings.Contains(q.String(), want) {
			t.Errorf("the table lacks %q:\n%s", want, q)
		}
	}
}

func TestAssembleRefuses(t *testing.T) {
	a := Part{File: "a.csv", Inputs: []Input{{Role: Ambient, Series: channel(series.Temperature, 0, 100, 2, celsius(20)), Column: "1"}}}
	late := Part{File: "b.csv", Clock: clock.Stated(3600, 0, 0, start), Inputs: []Input{{Role: Speed, Series: channel(series.Speed, 0, 100, 1, celsius(0)), Column: "v"}}}
	if _, err := Assemble("one", "", []Part{a, late}); !errors.Is(err, ErrNoOverlap) || !strings.Contains(err.Error(), "b.csv runs from 2026-05-03 10:00:00") {
		t.Errorf("no overlap: %v", err)
	}
	wrong := Part{File: "c.csv", Inputs: []Input{{Role: Speed, Series: channel(series.Temperature, 0, 100, 2, celsius(20)), Column: "1"}}}
	if _, err := Assemble("one", "", []Part{wrong}); err == nil || !strings.Contains(err.Error(), "needs a speed") {
		t.Errorf("wrong dimension: %v", err)
	}
	open := Part{File: "d.csv", Inputs: []Input{{Role: Ambient, Series: channel(series.Temperature, 0, 100, 2, func(float64) float64 { return math.NaN() }), Column: "1"}}}
	if _, err := Assemble("one", "", []Part{open}); err == nil || !strings.Contains(err.Error(), "d.csv") {
		t.Errorf("nothing measured: %v", err)
	}
}

// The checks against drives made to show one fault each, and one without.
func TestChecks(t *testing.T) {
	speed := func(t float64) float64 {
		if math.Mod(t, 300) < 90 {
			return 0
		}
		return 15
	}
	atStops := func(rise float64) func(float64) float64 {
		level := 293.15
		return func(t float64) float64 {
			aim := 293.15
			if speed(t) == 0 {
				aim += rise
			}
			level += (aim - level) * 2 / 40
			return level
		}
	}
	warm := func(c float64) func(float64) float64 {
		return func(t float64) float64 { return 293.15 + (c-20)*(1-math.Exp(-t/300)) + 0.01*math.Sin(t+c) }
	}
	build := func(ambient, intake, bay, tank func(float64) float64) *Drive {
		p := Part{File: "a.csv"}
		for _, in := range []struct {
			r Role
			f func(float64) float64
		}{{Ambient, ambient}, {Intake, intake}, {EngineBay, bay}, {TopTank, tank}} {
			p.Inputs = append(p.Inputs, Input{Role: in.r, Series: channel(series.Temperature, 0, 1800, 2, in.f), Column: string(in.r)})
		}
		p.Inputs = append(p.Inputs, Input{Role: Speed, Series: channel(series.Speed, 0, 1800, 1, speed), Column: "v"})
		return assemble(t, p)
	}
	for _, c := range []struct {
		what string
		d    *Drive
		want []Suspicion
	}{
		{"sound", build(celsius(20), warm(45), warm(60), warm(85)), nil},
		{"intake below ambient", build(celsius(20), warm(15), warm(60), warm(85)), []Suspicion{IntakeBelowAmbient}},
		{"ambient heated at stops", build(atStops(5), warm(45), warm(60), warm(85)), []Suspicion{AmbientHeated}},
		{"bay and ambient swapped", build(warm(60), warm(65), celsius(20), warm(85)), []Suspicion{ChannelsSwapped}},
		{"bay and top tank swapped", build(celsius(20), warm(45), warm(85), warm(60)), []Suspicion{ChannelsSwapped}},
		{"one column twice", build(celsius(20), warm(60), warm(60), warm(85)), []Suspicion{ChannelsAlike}},
	} {
		var got []Suspicion
		for _, x := range c.d.Checks() {
			got = append(got, x.Suspicion)
		}
		if len(got) != len(c.want) || (len(got) == 1 && got[0] != c.want[0]) {
			t.Errorf("%s: found %v: %v", c.what, got, c.d.Checks())
		}
	}
}

// IEC 60584-1:2013, table 12, class 2: ±2.5 K up to 333 °C; a rectangle by JCGM
// 100:2008, 4.3.7.
func TestUncalibrated(t *testing.T) {
	if u := Uncalibrated().Kelvins(); u != 2.5/math.Sqrt(3) {
		t.Errorf("%v K", u)
	}
	if own, none := (&Channel{Uncertainty: 0.2}).ProbeUncertainty(), (&Channel{}).ProbeUncertainty(); own != 0.2 || none != 2.5/math.Sqrt(3) {
		t.Errorf("compared %v K, not compared %v K", own, none)
	}
}
