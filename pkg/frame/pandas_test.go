package frame_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/frame"
)

// answer is a table of testdata/answers.json, by its columns.
type answer map[string][]any

// answers reads what pandas answered; testdata/answers.py says how.
func answers(t *testing.T) map[string]answer {
	t.Helper()
	text, err := os.ReadFile("testdata/answers.json")
	if err != nil {
		t.Fatal(err)
	}
	var raw map[string]json.RawMessage
	if err := json.Unmarshal(text, &raw); err != nil {
		t.Fatal(err)
	}
	delete(raw, "pandas") // its version
	all := map[string]answer{}
	for name, table := range raw {
		var a answer
		if err := json.Unmarshal(table, &a); err != nil {
			t.Fatal(name, err)
		}
		all[name] = a
	}
	return all
}

// same compares a column of a frame, in a unit, with one of pandas' answer,
// value by value to a part in a thousand million.
func same(t *testing.T, f *frame.Frame, column, unit string, want []any) {
	t.Helper()
	if f.Err() != nil {
		t.Fatal(f.Err())
	}
	if f.Len() != len(want) || len(want) == 0 {
		t.Fatalf("%s: %d rows, pandas has %d", column, f.Len(), len(want))
	}
	if texts, err := f.Texts(column); err == nil {
		for i, w := range want {
			if s, _ := w.(string); s != texts[i] {
				t.Fatalf("%s, row %d: %q, pandas has %v", column, i+1, texts[i], w)
			}
		}
		return
	}
	got, err := f.Floats(column, unit)
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range want {
		x, has := w.(float64)
		if has == math.IsNaN(got[i]) || has && math.Abs(got[i]-x) > 1e-9*math.Max(1, math.Abs(x)) {
			t.Fatalf("%s, row %d: %v, pandas has %v", column, i+1, got[i], w)
		}
	}
}

// The typical questions, answered by pandas on the same rows.
func TestQuestionsAsPandas(t *testing.T) {
	want := answers(t)
	f := read(t).Minus("rise", "intake", "ambient")

	a := want["minutes above 50 °C"]
	g := f.Filter(frame.Above("engine-bay", "50 °C")).Group("drive").Summarise(frame.Sum("duration").In("min"))
	same(t, g, "drive", "", a["drive"])
	same(t, g, "sum of duration", "", a["v"])

	a = want["bay after opening"]
	g = f.Filter(frame.Between("since opening", "0 s", "5 min")).Group("drive").Summarise(frame.Mean("engine-bay").As("bay"))
	same(t, g, "drive", "", a["drive"])
	same(t, g, "bay", "°C", a["v"])

	a = want["means by kind"]
	g = f.Group("configuration", "driving").Summarise(frame.Mean("rise"), frame.Median("rise"), frame.Deviation("rise"), frame.Least("rise"), frame.Most("rise"),
		frame.Quantile("rise", 0.1), frame.Count("rise"), frame.Rows(), frame.Sum("duration"))
	for mine, theirs := range map[string]string{"configuration": "configuration", "driving": "driving", "mean rise": "mean", "median rise": "median", "deviation of rise": "std",
		"least rise": "least", "most rise": "most", "0.1-quantile rise": "tenth", "count of rise": "count", "rows": "rows", "sum of duration": "seconds"} {
		same(t, g, mine, "", a[theirs])
	}

	a = want["histogram"]
	rise, err := f.Floats("rise", "K")
	if err != nil {
		t.Fatal(err)
	}
	edges, counts := frame.Bins(rise, 1)
	if len(counts) != len(a["count"]) || len(edges) != len(counts)+1 {
		t.Fatalf("%d bins, pandas has %d", len(counts), len(a["count"]))
	}
	for i := range counts {
		if counts[i] != a["count"][i] || edges[i] != a["edge"][i] {
			t.Errorf("bin %d: %v from %v, pandas has %v from %v", i, counts[i], edges[i], a["count"][i], a["edge"][i])
		}
	}

	g = f.Group("drive").Smooth("smoothed", "intake", "since start", "60 s")
	same(t, g, "smoothed", "°C", want["smoothed"]["v"])

	g = f.Correlations("speed", "ambient", "engine-bay", "intake")
	for name, column := range want["correlation"] {
		same(t, g, name, "", column)
	}

	a = want["odd one out"]
	g = f.Group("configuration", "drive").Summarise(frame.Mean("rise")).Group("configuration").Relative("odd", frame.Median("mean rise"))
	same(t, g, "drive", "", a["drive"])
	same(t, g, "mean rise", "K", a["mean"])
	same(t, g, "odd", "K", a["odd"])
}

// Resampling, sorting, joining, conditions and units, as pandas has them.
func TestStepsAsPandas(t *testing.T) {
	want := answers(t)
	f := read(t).Minus("rise", "intake", "ambient")

	a := want["resampled"]
	g := f.Group("drive").Resample("since start", "1 min")
	for mine, theirs := range map[string]string{"drive": "drive", "since start": "start", "speed": "speed", "intake": "intake", "driving": "driving"} {
		same(t, g, mine, "", a[theirs])
	}

	n := 0.0
	numbered := f.Derive("row", "", func(frame.Row) float64 { n++; return n - 1 })
	same(t, numbered.Sort("driving", "intake"), "row", "", want["sorted"]["row"])
	same(t, numbered.SortDown("intake"), "row", "", want["sorted down"]["row"])
	either := numbered.Filter(frame.Any(frame.Below("speed", "3 km/h"), frame.Above("intake", "40 °C")))
	same(t, either, "row", "", want["either"]["row"])

	means := f.Group("configuration", "drive").Summarise(frame.Mean("rise").As("mean"))
	notes := frame.FromStructs([]struct {
		Drive string
		Who   float64
	}{{"open filters, first run", 1}, {"cold-air duct, third run", 2}, {"cold-air duct, third run", 3}, {"nobody's", 4}})
	for name, g := range map[string]*frame.Frame{"joined": means.Join(notes, "drive"), "joined both": means.JoinBoth(notes, "drive")} {
		for _, column := range []string{"drive", "mean", "who"} {
			same(t, g, column, "", want[name][column])
		}
	}

	a = want["fahrenheit"]
	same(t, f, "intake", "°F", a["intake"])
	same(t, f, "rise", "°F", a["rise"])
	same(t, f, "speed", "mph", a["mph"])
}
