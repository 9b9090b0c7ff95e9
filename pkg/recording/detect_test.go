package recording

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

func ambiguous(t *testing.T, text string, settings ...string) {
	t.Helper()
	_, err := Open(writeFile(t, "log.csv", []byte(text)), Options{})
	var a *AmbiguousError
	if !errors.As(err, &a) {
		t.Errorf("got %v, want an AmbiguousError", err)
		return
	}
	for _, s := range settings {
		if !strings.Contains(a.Error(), s) {
			t.Errorf("%v does not name %s", a, s)
		}
	}
}

func TestDayMonthOrder(t *testing.T) {
	march := time.Date(2025, 4, 3, 12, 0, 0, 0, time.UTC)
	const slash = "02/01/2006 15:04:05"
	ambiguous(t, rowsOf("Time,Air (°C)", stamps(slash, march, time.Second, 50)), `date_order = "dmy"`, `date_order = "mdy"`, "2025-04-03", "2025-03-04")
	for order, want := range map[DateOrder]time.Month{DayMonthYear: time.April, MonthDayYear: time.March} {
		r := open(t, rowsOf("Time,Air (°C)", stamps(slash, march, time.Second, 50)), Layout{DateOrder: order})
		if r.Start.Month() != want {
			t.Errorf("%s reads %v", order, r.Start)
		}
	}
	// The day that follows midnight settles it, and so does a day past 12.
	for _, c := range []struct {
		layout string
		from   time.Time
		want   string
	}{
		{slash, time.Date(2025, 4, 3, 23, 59, 50, 0, time.UTC), "day first"},
		{"01/02/2006 15:04:05", time.Date(2025, 4, 3, 23, 59, 50, 0, time.UTC), "month first"},
		{slash, time.Date(2025, 4, 25, 12, 0, 0, 0, time.UTC), "day first"},
		{"01-02-2006 15:04:05", time.Date(2025, 4, 25, 12, 0, 0, 0, time.UTC), "month first"},
		{"02.01.2006 15:04:05", march, "day first"},
		{"2006/01/02 15:04:05", march, "year first"},
		{"Jan 2 2006 15:04:05", march, "day first"}, // by name; the order does not matter
	} {
		r := open(t, rowsOf("Time,Air (°C)", stamps(c.layout, c.from, time.Second, 50)), Layout{})
		if !strings.Contains(r.Detection.String(), c.want) || !r.Start.Equal(c.from) {
			t.Errorf("%s: start %v, want %v; %s", c.layout, r.Start, c.from, r.Detection)
		}
	}
}

// TestOrderFarDown puts the day that decides beyond what detection samples.
func TestOrderFarDown(t *testing.T) {
	var b strings.Builder
	b.WriteString("Time,Air (°C)\n")
	at := time.Date(2025, 4, 3, 0, 0, 0, 0, time.UTC)
	for i := range 60000 {
		if i == 59000 {
			at = at.Add(25 * 24 * time.Hour)
		}
		fmt.Fprintf(&b, "%s,%d\n", at.Format("02/01/2006 15:04:05"), 20+i%30)
		at = at.Add(time.Second)
	}
	l := Layout{}
	r, err := Open(writeFile(t, "log.csv", []byte(b.String())), Options{Layout: l})
	if err != nil {
		t.Fatal(err)
	}
	if r.Start.Month() != time.April || !strings.Contains(r.Detection.String(), "28/04/2025") {
		t.Errorf("%v, %s", r.Start, r.Detection)
	}
}

func temperatures(header string, from, to float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Time (s),%s\n", header)
	for i := range 100 {
		fmt.Fprintf(&b, "%d,%.1f\n", i, from+(to-from)*float64(i)/99)
	}
	return b.String()
}

func TestTemperatureUnit(t *testing.T) {
	for _, c := range []struct {
		header   string
		from, to float64
		want     string // "" is ambiguous
	}{
		{"T1 (°C)", 20, 40, "°C"}, {"T1 [deg F]", 60, 190, "°F"}, {"T1_degC", 20, 40, "°C"}, {"temp_f", 60, 190, "°F"},
		{"K1 / °F", 60, 190, "°F"}, {"Air Temp [Â°C]", 20, 40, "°C"}, {"T1 (K)", 280, 360, "K"},
		{"T1", 20, 88, "°C"}, {"T1", 65, 190, ""}, {"T1", 285, 360, "K"},
		{"T1", 20, 40, ""}, {"Sensor 3", 30, 200, ""},
	} {
		text := temperatures(c.header, c.from, c.to)
		if c.want == "" {
			ambiguous(t, text, `temperature_unit = "°C"`, `temperature_unit = "°F"`)
			if r := open(t, text, Layout{TemperatureUnit: "°F"}); r.Columns[0].Unit != "°F" {
				t.Errorf("%s: the layout is not followed: %s", c.header, r.Columns[0].Unit)
			}
			continue
		}
		r := open(t, text, Layout{})
		if col := r.Columns[0]; col.Unit != c.want || col.Dimension != series.Temperature {
			t.Errorf("%s %g..%g: read as %s (%s), want %s", c.header, c.from, c.to, col.Unit, col.Dimension, c.want)
		}
	}
}

// TestSpeedUnit drives at a known speed: 1e-4 degrees of latitude a second are
// 11.12 m/s.
func TestSpeedUnit(t *testing.T) {
	const v = 11.119
	for _, c := range []struct {
		factor float64
		want   string
	}{{1, "m/s"}, {3.6, "km/h"}, {2.2369, "mph"}, {1.9438, "kn"}, {2.8, ""}} {
		var b strings.Builder
		b.WriteString("time,latitude,longitude,altitude,speed\n")
		for i := range 60 {
			fmt.Fprintf(&b, "%d,%.6f,7.5,%d,%.2f\n", 1700000000+i, 46+float64(i)*1e-4, 400+i, v*c.factor)
		}
		if c.want == "" {
			ambiguous(t, b.String(), `speed_unit = "km/h"`)
			continue
		}
		r := open(t, b.String(), Layout{})
		col, err := r.Column("speed")
		if err != nil || col.Unit != c.want || math.Abs(col.Series.Value[30]-v) > 0.01 {
			t.Errorf("factor %g: %v %+v", c.factor, err, col)
		}
		if !r.Dated || !r.ZoneKnown || r.Start.Unix() != 1700000000 {
			t.Errorf("start %v", r.Start)
		}
	}
}

func TestSpeedFromPositions(t *testing.T) {
	var b strings.Builder
	b.WriteString("timestamp,lat,lon\n")
	for i := range 60 {
		fmt.Fprintf(&b, "%s,%.6f,7.5\n", noon.Add(time.Duration(i)*time.Second).Format("2006-01-02T15:04:05.000-07:00"), 46+float64(i)*1e-4)
	}
	r := open(t, b.String(), Layout{})
	v := r.OfDimension(series.Speed)
	if len(v) != 1 || !v[0].Derived || len(r.Warnings) == 0 {
		t.Fatalf("%s", r)
	}
	// On the sphere of radius 6371008.8 m: 1e-4 degrees are 11.1195 m.
	for i, x := range v[0].Series.Value {
		if math.Abs(x-11.1195) > 2e-4*11.1195 {
			t.Errorf("speed %d is %v", i, x)
		}
	}
}

func TestNumericTime(t *testing.T) {
	row := func(header string, f func(i int) string) string {
		var b strings.Builder
		b.WriteString(header + "\n")
		for i := range 50 {
			fmt.Fprintf(&b, "%s,%d\n", f(i), 20+i%9)
		}
		return b.String()
	}
	for _, c := range []struct {
		header string
		f      func(int) string
		step   float64
		dated  bool
	}{
		{"Time (ms),Air (°C)", func(i int) string { return fmt.Sprint(i * 250) }, 0.25, false},
		{"millis,Air (°C)", func(i int) string { return fmt.Sprint(i * 250) }, 0.25, false},
		{"Elapsed [min],Air (°C)", func(i int) string { return fmt.Sprintf("%.2f", float64(i)/4) }, 15, false},
		{"time,Air (°C)", func(i int) string { return fmt.Sprint(1700000000000 + i*500) }, 0.5, true},
		{"time,Air (°C)", func(i int) string { return fmt.Sprintf("%.2f", 1700000000+float64(i)*0.5) }, 0.5, true},
		{"Date,Air (°C)", func(i int) string { return fmt.Sprintf("%.9f", 45741.5+float64(i)/86400) }, 1, true},
		{"Elapsed,Air (°C)", func(i int) string { return fmt.Sprintf("0:%02d:%02d.5", i/60, i%60) }, 1, false},
	} {
		r := open(t, row(c.header, c.f), Layout{})
		if got := r.Columns[0].Series.Step(); math.Abs(got-c.step) > 1e-3*c.step || r.Dated != c.dated {
			t.Errorf("%s: step %v, dated %t (%s)", c.header, got, r.Dated, r.Detection)
		}
	}
	ambiguous(t, row("time,Air (°C)", func(i int) string { return fmt.Sprint(i * 500) }), `time_format = "elapsed ms"`, `time_format = "elapsed s"`)
	ambiguous(t, row("x,Air (°C)", func(i int) string { return fmt.Sprint(i) }), "interval_s")
	r := open(t, row("Nr,Air (°C)", func(i int) string { return fmt.Sprint(i + 1) }), Layout{Interval: 2})
	if lastTime(r) != 98 {
		t.Errorf("interval: last %v", lastTime(r))
	}
}

func TestLayoutFile(t *testing.T) {
	r := open(t, temperatures("T1 (°C)", 20, 40), Layout{})
	path := filepath.Join(t.TempDir(), "layout.toml")
	if err := r.Layout.Save(path); err != nil {
		t.Fatal(err)
	}
	l, err := Load(path)
	if err != nil {
		t.Fatal(err)
	}
	if l.Delimiter != Comma || len(l.Columns) != 2 || *l.HeaderLines != 1 {
		t.Errorf("%+v", l)
	}
	if err := r.Layout.Save(path); !errors.Is(err, os.ErrExist) {
		t.Errorf("overwrites a file: %v", err)
	}
	for text, want := range map[string]string{
		"delimiter = \"comma\"\ncolour = 3\n":                         "line 2",
		"delimiter = \"dots\"\n":                                      "allowed are",
		"zone = \"Nowhere/Land\"\n":                                   "Europe/Berlin",
		"[[columns]]\nnumber = 1\nholds = \"speed\"\nunit = \"°C\"\n": "does not measure",
		"header_lines = \"one\"\n":                                    "line 1",
	} {
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, err := Load(path); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q in it", text, err, want)
		}
	}
}

func TestLayoutColumns(t *testing.T) {
	text := "a,b,c\n0,10,1\n1,20,2\n2,30,3\n3,40,4\n"
	low := 15.0
	r := open(t, text, Layout{Columns: []ColumnLayout{{Number: 1, Holds: HoldsTime, Unit: "min"}, {Name: "b", Holds: HoldsSpeed, Unit: "km/h", Min: &low}, {Number: 3, Holds: HoldsNothing}}})
	if len(r.Columns) != 1 || lastTime(r) != 180 || math.Abs(r.Columns[0].Series.Value[3]-40/3.6) > 1e-12 || !math.IsNaN(r.Columns[0].Series.Value[0]) {
		t.Errorf("%s %v", r, r.Columns[0].Series)
	}
	_, err := Open(writeFile(t, "log.csv", []byte(text)), Options{Layout: Layout{Columns: []ColumnLayout{{Name: "z", Holds: HoldsTime}}}})
	if err == nil || !strings.Contains(err.Error(), `"z"`) {
		t.Errorf("a column that is not there: %v", err)
	}
}

// TestClearErrors: each is one sentence that names the file, what was found
// and what to do.
func TestClearErrors(t *testing.T) {
	dir := t.TempDir()
	file := func(name, content string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	open := "Time (s),T1 (°C),T2 (°C)\n" + strings.Repeat("1,OL,OL\n2,OL,OL\n", 1)
	for _, c := range []struct {
		path string
		want error
		word string
	}{
		{filepath.Join(dir, "none.csv"), os.ErrNotExist, "no such file"},
		{dir, ErrNotText, "folder"},
		{file("empty.csv", ""), ErrEmpty, "empty"},
		{file("nul.csv", strings.Repeat("\x00", 5000)), ErrEmpty, "NUL"},
		{file("blank.csv", "\n\n  \n"), ErrEmpty, "blank"},
		{file("binary.csv", "\x7fELF\x02\x01\x01"+strings.Repeat("\x00\x01\x02\x7f", 500)), ErrNotText, "program"},
		{file("noise.csv", strings.Repeat("\x01\x02\x03\x84\x05", 500)), ErrNotText, "control characters"},
		{file("old.xls", "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"+strings.Repeat("\x00", 500)), ErrNotText, ".xlsx"},
		{file("prose.txt", "Dear diary,\ntoday I drove.\nIt was fine.\n"), ErrNotText, "not a table"},
		{file("open.csv", open), ErrOpenCircuit, "probes"},
		{file("zip.csv", "PK\x03\x04 cut"), nil, "damaged or cut"},
		{file("xml.xml", "<?xml version=\"1.0\"?><a><b/></a>"), ErrNotText, "not a GPX"},
		{file("header.csv", "Time (s),T1 (°C)\n"), nil, "header.csv"},
	} {
		_, err := Open(c.path, Options{})
		if err == nil || !strings.Contains(err.Error(), c.word) || !strings.Contains(err.Error(), c.path) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v, want %q in it", c.path, err, c.word)
		}
		if c.want != nil && !errors.Is(err, c.want) {
			t.Errorf("%s: %v is not %v", c.path, err, c.want)
		}
	}
}

func TestShortRows(t *testing.T) {
	var b strings.Builder
	b.WriteString("Time (s),T1 (°C),T2 (°C),T3 (°C),T4 (°C)\n")
	for i := range 40 {
		if i == 20 {
			b.WriteString("20,21.1,60.2,80.3\n") // T2 left out
			continue
		}
		if i == 25 {
			b.WriteString("25,40.5\n") // between T1 and T3: closest to T2 by little
			continue
		}
		fmt.Fprintf(&b, "%d,21.0,40.0,60.%d,80.%d\n", i, i%9, i%7)
	}
	r := open(t, b.String(), Layout{})
	i := slices.Index(r.Columns[0].Series.Time, 20)
	if i < 0 || !math.IsNaN(r.Columns[1].Series.Value[i]) || math.Abs(r.Columns[2].Series.Value[i]-333.35) > 1e-9 {
		t.Errorf("row at 20 s: %d\n%s", i, r.Account)
	}
	if n := rejected(r, "shifted left"); n > 1 {
		t.Errorf("%d rejected\n%s", n, r.Account.List())
	}
}
