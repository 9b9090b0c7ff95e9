package frame_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/frame"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// A missing value meets neither a condition nor its opposite, and is counted.
func TestMissingMeetsNothing(t *testing.T) {
	f := frame.FromStructs([]struct {
		Speed float64 `frame:"speed (km/h)"`
	}{{10}, {math.NaN()}, {90}})
	fast := frame.Above("speed", "50 km/h")
	for name, c := range map[string]struct {
		condition frame.Condition
		rows      int
		left      bool
	}{
		"above": {fast, 1, true}, "not above": {frame.Not(fast), 1, true}, "either": {frame.Any(fast, frame.Not(fast)), 2, true},
		"has": {frame.Has("speed"), 2, false}, "has not": {frame.Not(frame.Has("speed")), 1, false}, "both": {frame.All(fast, frame.Has("speed")), 1, false},
	} {
		g := f.Filter(c.condition)
		if g.Err() != nil || g.Len() != c.rows {
			t.Errorf("%s: %d rows, %v; want %d", name, g.Len(), g.Err(), c.rows)
		}
		if noted := len(g.Notes()) > 0; noted != c.left {
			t.Errorf("%s: notes %q", name, g.Notes())
		}
	}
	g := f.Group().Summarise(frame.Mean("speed"), frame.Count("speed"), frame.Rows())
	if v, _ := g.Floats("mean speed", "km/h"); len(v) != 1 || math.Abs(v[0]-50) > 1e-9 {
		t.Errorf("mean %v, want 50: a missing value is no zero", v)
	}
	if notes := strings.Join(g.Notes(), "; "); !strings.Contains(notes, "1 value of speed missing, of 3") {
		t.Errorf("notes %q", notes)
	}
	if text := f.String(); !strings.Contains(text, "missing, of 3 rows: speed in 1") || strings.Contains(text, "NaN") {
		t.Errorf("shown as\n%s", text)
	}
}

// What makes no sense is an error that says what to do, and stays through the
// steps after it.
func TestMistakes(t *testing.T) {
	f := read(t)
	for name, c := range map[string]struct {
		err  error
		says string
	}{
		"sum":      {f.Group("drive").Summarise(frame.Sum("intake")).Sort("drive").Err(), "temperatures can't be added up"},
		"minus":    {f.Minus("x", "intake", "speed").Err(), "intake is a temperature and speed a speed"},
		"unit":     {f.In("speed", "°C").Err(), "column \"speed\" is a speed"},
		"spelling": {f.Filter(frame.Above("sped", "3 km/h")).Err(), `did you mean "speed"?`},
		"value":    {f.Filter(frame.Is("configuration", "open filter")).Err(), `no row of column "configuration" is "open filter"`},
		"row":      {f.Derive("x", "", func(r frame.Row) float64 { return r.In("speed", "K") }).Err(), "column \"speed\" is a speed"},
		"kind":     {f.Derive("x", "K", func(r frame.Row) float64 { return 1 }).Err(), "a unit of several kinds"},
		"twice":    {f.Group("drive").Summarise(frame.Mean("intake").As("x"), frame.Mean("speed").As("x"), frame.Rows()).Err(), "there is a column \"x\" already"},
		"again":    {f.Correlations("speed", "speed", "intake").Err(), "there is a column \"speed\" already"},
		"pairs":    {f.Correlations("speed", "drive").Err(), "column \"drive\" holds texts, not numbers"},
		"smooth":   {f.Group().Smooth("x", "intake", "since start", "60 s").Err(), "does not ascend within a group"},
	} {
		if c.err == nil || !strings.Contains(c.err.Error(), c.says) {
			t.Errorf("%s: %v, want %s", name, c.err, c.says)
		}
	}
}

// A drive becomes rows: gaps stay gaps, a bridged distance is told, and what is
// not known is missing with a note.
func TestOf(t *testing.T) {
	var at, v []float64
	for s := 0.0; s < 100; s++ {
		if s < 40 || s > 70 {
			at, v = append(at, s), append(v, 10)
		}
	}
	speed, err := series.New("v", series.Speed, time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC), at, v)
	if err != nil {
		t.Fatal(err)
	}
	d, err := drive.Assemble("one", "open", []drive.Part{{Device: "phone", File: "p.csv", Reference: true, Inputs: []drive.Input{{Role: drive.Speed, Series: speed, Column: "v"}}}})
	if err != nil {
		t.Fatal(err)
	}
	f := frame.Of([]*drive.Drive{d}, frame.DefaultOptions())
	if f.Err() != nil || f.Len() != 100 {
		t.Fatalf("%d rows, %v", f.Len(), f.Err())
	}
	for column, want := range map[string]int{"speed": 31, "distance": 31, "since opening": 100, "time": 0, "since start": 0, "duration": 0} {
		if n, err := f.Missing(column); err != nil || n != want {
			t.Errorf("%s: %d missing, %v; want %d", column, n, err, want)
		}
	}
	if x, _ := f.Floats("distance", "m"); math.Abs(x[99]-990) > 1e-6 {
		t.Errorf("distance %v, want 990 m at 10 m/s", x[99])
	}
	notes := strings.Join(f.Notes(), "; ")
	if !strings.Contains(notes, "one: 32 s without speed are bridged in the distance") || !strings.Contains(notes, "are not known") {
		t.Errorf("notes %q", notes)
	}
	g := f.Group("drive").Resample("since start", "10 s")
	if s, _ := g.Floats("duration", "s"); g.Len() != 10 || s[0] != 10 {
		t.Errorf("%d rows that last %v", g.Len(), s)
	}
}

// Several more channels of one role and device are told apart by their columns,
// in all drives, and also where the columns have one name.
func TestOtherChannelsHaveNames(t *testing.T) {
	made := func(name string, columns ...string) *drive.Drive {
		at, v := []float64{0, 50, 100}, []float64{300, 310, 305}
		part := drive.Part{Device: "logger", File: "l.csv", Reference: true}
		for _, c := range columns {
			s, err := series.New(c, series.Temperature, time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC), at, v)
			if err != nil {
				t.Fatal(err)
			}
			part.Inputs = append(part.Inputs, drive.Input{Role: drive.EngineBay, Series: s, Column: c})
		}
		d, err := drive.Assemble(name, "open", []drive.Part{part})
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	one, three, same := made("one", "T1", "T3"), made("three", "T1", "T2", "T3"), made("same", "T1", "T2", "T2")
	for _, c := range []struct {
		drives []*drive.Drive
		want   []string
	}{
		{[]*drive.Drive{one}, []string{"engine-bay", "engine-bay (logger)"}},
		{[]*drive.Drive{one, three}, []string{"engine-bay", "engine-bay (logger, T3)", "engine-bay (logger, T2)"}},
		{[]*drive.Drive{same}, []string{"engine-bay", "engine-bay (logger, T2)", "engine-bay (logger, T2) 2"}},
	} {
		f := frame.Of(c.drives, frame.DefaultOptions())
		if f.Err() != nil {
			t.Fatal(f.Err())
		}
		got := slices.DeleteFunc(f.Names(), func(n string) bool { return !strings.HasPrefix(n, "engine-bay") })
		if !slices.Equal(got, c.want) {
			t.Errorf("columns %q, want %q", got, c.want)
		}
	}
}
