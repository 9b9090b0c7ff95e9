package frame_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/frame"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
)

// equal compares two frames: names, units, missing values, and every value to
// rounding.
func equal(t *testing.T, got, want *frame.Frame) {
	t.Helper()
	if got.Err() != nil || want.Err() != nil {
		t.Fatal(got.Err(), want.Err())
	}
	a, b := got.Columns(), want.Columns()
	if len(a) != len(b) || got.Len() != want.Len() {
		t.Fatalf("%d columns of %d rows, want %d of %d", len(a), got.Len(), len(b), want.Len())
	}
	for k := range b {
		if a[k] != b[k] {
			t.Fatalf("column %+v, want %+v", a[k], b[k])
		}
		x, _ := got.Floats(a[k].Name, "")
		y, _ := want.Floats(a[k].Name, "")
		for i := range y {
			if math.IsNaN(x[i]) != math.IsNaN(y[i]) || math.Abs(x[i]-y[i]) > 1e-9 {
				t.Fatalf("%s, row %d: %v, want %v", a[k].Name, i+1, x[i], y[i])
			}
		}
		s, _ := got.Texts(a[k].Name)
		u, _ := want.Texts(a[k].Name)
		for i := range u {
			if s[i] != u[i] {
				t.Fatalf("%s, row %d: %q, want %q", a[k].Name, i+1, s[i], u[i])
			}
		}
		at, _ := got.Times(a[k].Name)
		want, _ := want.Times(a[k].Name)
		for i := range want {
			if !at[i].Equal(want[i]) {
				t.Fatalf("%s, row %d: %v, want %v", a[k].Name, i+1, at[i], want[i])
			}
		}
	}
}

// What is written is read again: units, kinds, missing values, texts that a
// spreadsheet would run.
func TestFilesReadAgain(t *testing.T) {
	f := read(t).Minus("rise", "intake", "ambient").In("ambient", "K").In("engine-bay", "°F").Head(200).
		Join(frame.FromStructs([]struct{ Drive, Note string }{{"open filters, first run", `=1+1, "quoted"`}}), "drive")
	for name, form := range map[string]struct {
		write func(path string) error
		again func(path string) (*frame.Frame, error)
	}{
		"drives.csv":     {f.WriteCSV, frame.ReadCSV},
		"drives.parquet": {f.WriteParquet, frame.ReadParquet},
		"drives.arrow":   {f.WriteArrow, frame.ReadArrow},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), name)
			write := form.write
			if err := write(path); err != nil {
				t.Fatal(err)
			}
			g, err := form.again(path)
			if err != nil {
				t.Fatal(err)
			}
			equal(t, g, f)
			if n, _ := g.Missing("ambient"); n == 0 {
				t.Error("nothing is missing: the rows test less than they should")
			}
			if err := write(path); err == nil || !strings.Contains(err.Error(), "exists already") {
				t.Errorf("overwritten: %v", err)
			}
		})
	}
}

// A file that leaves something open is refused with the choice, or read with a
// note.
func TestCSVAsWritten(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{"a,rise (K)\n1,2\n", `"K" is a unit of several kinds; write "K, temperature" or "K, temperature difference"`},
		{"a,a\n1,2\n", `there is a column "a" already`},
		{"a,b\n1\n", "wrong number of fields"},
		{"", "the file is empty"},
		{"a\nInf\n", `line 2: "Inf" is no number`},
	} {
		path := filepath.Join(t.TempDir(), "x.csv")
		if err := os.WriteFile(path, []byte(c.text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := frame.ReadCSV(path); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: %v, want %s", c.text, err, c.says)
		}
	}
	path := filepath.Join(t.TempDir(), "x.csv")
	if err := os.WriteFile(path, []byte("intake (°C),v (mph),odd (remark)\n20,60,x\n,30,\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := frame.ReadCSV(path)
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(f.Notes(), "; "); got != "intake: °C read as a temperature, not as a difference" {
		t.Errorf("notes %q", got)
	}
	if v, err := f.Floats("intake", "°F"); err != nil || v[0] != 68 || !math.IsNaN(v[1]) {
		t.Errorf("intake %v, %v", v, err)
	}
	if n, err := f.Missing("odd (remark)"); n != 1 || err != nil {
		t.Errorf("%d missing, %v", n, err)
	}
}

// Quantities, estimates, instants, spans and texts come in with their units
// and go out again.
func TestStructs(t *testing.T) {
	type result struct {
		Drive    string
		Kind     segment.Kind `frame:"driving"`
		MeanBay  quantity.Temperature
		Rise     quantity.TemperatureDifference
		TopSpeed quantity.Speed
		Began    time.Time
		Lasted   time.Duration
		Laps     int
		MPH      float64 `frame:"slow (mph)"`
		Effect   estimate.Estimate
		Limit    *float64
		Hidden   func() `frame:"-"`
		Tags     []string
	}
	half := 0.5
	in := []result{
		{Drive: "one", Kind: segment.Steady, MeanBay: quantity.Celsius(50), Rise: 14, TopSpeed: 30 * quantity.MilePerHour, Began: time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC),
			Lasted: 90 * time.Second, Laps: 3, MPH: 30, Effect: estimate.Unknown("effect", quantity.KindTemperatureDifference.Shown(), "too few drives"), Limit: &half},
		{Drive: "two", MeanBay: quantity.Fahrenheit(122), Rise: 15, Effect: estimate.Unknown("effect", quantity.KindTemperatureDifference.Shown(), "too few drives")},
	}
	f := frame.FromStructs(in)
	if f.Err() != nil {
		t.Fatal(f.Err())
	}
	if got := strings.Join(f.Notes(), "; "); got != "field Tags, a []string, is left out" {
		t.Errorf("notes %q", got)
	}
	for _, c := range []struct {
		column, unit string
		want         float64
	}{{"mean bay", "°F", 122}, {"rise", "°F", 25.2}, {"top speed", "mph", 30}, {"lasted", "min", 1.5}, {"laps", "", 3}, {"slow", "mph", 30}, {"limit", "", 0.5}} {
		if v, err := f.Floats(c.column, c.unit); err != nil || math.Abs(v[0]-c.want) > 1e-9 {
			t.Errorf("%s: %v %s, %v; want %v", c.column, v, c.unit, err, c.want)
		}
	}
	for column, want := range map[string]int{"effect": 2, "limit": 1, "began": 1, "driving": 0} {
		if n, err := f.Missing(column); n != want || err != nil {
			t.Errorf("%s: %d missing, %v; want %d", column, n, err, want)
		}
	}
	var out []struct {
		Drive    string
		MeanBay  quantity.Temperature
		TopSpeed float64 `frame:"top speed (km/h)"`
		Lasted   time.Duration
		Laps     int
		Began    time.Time
	}
	if err := f.Structs(&out); err != nil {
		t.Fatal(err)
	}
	if o := out[0]; o.Drive != "one" || math.Abs(o.MeanBay.Celsius()-50) > 1e-9 || math.Abs(o.TopSpeed-48.28032) > 1e-9 || o.Lasted != 90*time.Second || o.Laps != 3 || !o.Began.Equal(in[0].Began) {
		t.Errorf("%+v", o)
	}
	var whole []struct{ Limit int }
	if err := f.Structs(&whole); err == nil || whole != nil {
		t.Errorf("a half and a missing value became whole numbers: %v, %v", whole, err)
	}
	var wrong []struct {
		Rise quantity.Speed
	}
	if err := f.Structs(&wrong); err == nil || !strings.Contains(err.Error(), "can't hold") {
		t.Errorf("a rise became a speed: %v", err)
	}
}
