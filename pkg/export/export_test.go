package export_test

import (
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/parquet-go/parquet-go"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/export"
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

func assemble(t *testing.T, parts ...drive.Part) *drive.Drive {
	t.Helper()
	d, err := drive.Assemble("one", "open filters", parts)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Whoever takes only the analyses gets no columnar file format.
func TestAnalysesDoNotPullInExports(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "../thermostat", "../heat", "../drive", "../compare").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	for _, heavy := range []string{"parquet", "brotli", "protobuf", "arrow-go", "flatbuffers"} {
		if strings.Contains(string(out), heavy) {
			t.Errorf("the analyses depend on %s", heavy)
		}
	}
}

func exported(t *testing.T) *drive.Drive {
	d := assemble(t, drive.Part{Device: "logger A", File: "a.csv", Inputs: []drive.Input{
		{Role: drive.Ambient, Series: channel(series.Temperature, 0, 40, 2, func(t float64) float64 {
			if t > 10 && t < 30 {
				return math.NaN()
			}
			return 273.15 - 5 + t/100
		}), Column: "1"},
		{Role: drive.Speed, Series: channel(series.Speed, 0, 40, 1, func(t float64) float64 { return t / 3.6 }), Column: "v"},
	}})
	d.Configuration = `=HYPERLINK("http://example.invalid")`
	return d
}

func TestWriteCSV(t *testing.T) {
	path := filepath.Join(t.TempDir(), "drive.csv")
	d := exported(t)
	if err := export.CSV(d, path, export.DefaultOptions()); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) != 41 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	if got := strings.Join(rows[0], "|"); got != "time|elapsed (s)|ambient (°C)|speed (km/h)|drive|configuration" {
		t.Errorf("header %s", got)
	}
	if got := strings.Join(rows[3], "|"); got != `2026-05-03T09:00:02.000Z|2.000|-4.98|2|one|'=HYPERLINK("http://example.invalid")` {
		t.Errorf("row %s", got)
	}
	if rows[21][2] != "" { // 20 s lies in a gap of 20 s
		t.Errorf("the gap was bridged: %s", rows[21][2])
	}
	if err := export.CSV(d, path, export.DefaultOptions()); err == nil || !strings.Contains(err.Error(), "exists already") {
		t.Errorf("overwritten: %v", err)
	}
}

func TestWriteParquet(t *testing.T) {
	path := filepath.Join(t.TempDir(), "drive.parquet")
	d := exported(t)
	if err := export.Parquet(d, path, export.Options{Step: 2}); err != nil {
		t.Fatal(err)
	}
	type row struct {
		Ambient *float64  `parquet:"ambient_degC,optional"`
		Elapsed float64   `parquet:"elapsed_s"`
		Speed   *float64  `parquet:"speed_km_h,optional"`
		Time    time.Time `parquet:"time,timestamp(millisecond)"`
	}
	rows, err := parquet.ReadFile[row](path)
	if err != nil || len(rows) != 20 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	if r := rows[1]; math.Abs(*r.Ambient+4.98) > 1e-9 || math.Abs(*r.Speed-2) > 1e-9 || r.Elapsed != 2 || !r.Time.Equal(start.Add(2*time.Second)) {
		t.Errorf("row %+v", r)
	}
	if rows[10].Ambient != nil {
		t.Errorf("the gap was bridged: %v", *rows[10].Ambient)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		t.Fatal(err)
	}
	file, err := parquet.OpenFile(f, info.Size())
	if err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]string{"ambient_degC.unit": "°C", "speed_km_h.unit": "km/h", "drive": "one"} {
		if got, _ := file.Lookup(key); got != want {
			t.Errorf("metadata %s = %q, want %q", key, got, want)
		}
	}
	if err := export.Parquet(d, path, export.DefaultOptions()); err == nil {
		t.Error("overwritten")
	}
}
