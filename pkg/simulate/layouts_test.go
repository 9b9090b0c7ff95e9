package simulate_test

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

var testStart = time.Date(2026, 6, 25, 14, 3, 20, 0, time.UTC)

func testRows(t *testing.T) []simulate.Row {
	t.Helper()
	h := simulate.Run(simulate.DemoCar(), simulate.OpenFilters(), valley(4), simulate.Conditions{Ambient: 290})
	random := rand.New(rand.NewPCG(9, 9))
	rows := simulate.Logger{Period: 2, Resolution: 0.1}.Rows(testStart, [][]float64{h.Ambient, h.Intake, h.Bay, h.TopTank}, random)
	simulate.OpenCircuit(rows, 2, 100, 140)
	return rows
}

func open(t *testing.T, name string, data []byte) *recording.Recording {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	r, err := recording.Open(path, recording.Options{})
	if err != nil {
		t.Fatalf("%v", err)
	}
	if !r.Account.Balanced() {
		t.Errorf("not every line is accounted for: %v", r.Account)
	}
	return r
}

// Every layout that the simulation writes is read back value for value: the
// file's resolution is 0.1 °C, or 0.1 °F.
func TestEveryLayoutIsReadBack(t *testing.T) {
	rows := testRows(t)
	names := []string{"T1", "T2", "T3", "T4"}
	for _, l := range simulate.Layouts() {
		t.Run(l.Name, func(t *testing.T) {
			data, err := l.Write(names, rows)
			if err != nil {
				t.Fatal(err)
			}
			compare(t, open(t, "log.txt", data), rows)
		})
	}
	t.Run("spreadsheet", func(t *testing.T) {
		data, err := simulate.Spreadsheet(names, rows)
		if err != nil {
			t.Fatal(err)
		}
		compare(t, open(t, "log.xlsx", data), rows)
	})
}

func compare(t *testing.T, r *recording.Recording, rows []simulate.Row) {
	t.Helper()
	if len(r.Columns) != 4 {
		t.Fatalf("%d columns, want 4", len(r.Columns))
	}
	for c, col := range r.Columns {
		s := col.Series
		k := 0
		for i := range s.Time {
			for k < len(rows) && math.Abs(rows[k].Clock.Sub(rows[0].Clock).Seconds()-(s.Time[i]-s.Time[0])) > 1e-6 {
				k++
			}
			if k == len(rows) {
				t.Fatalf("channel %d: no row at %v s", c+1, s.Time[i])
			}
			want, got := rows[k].Values[c], s.Value[i]
			if math.IsNaN(want) != math.IsNaN(got) || math.Abs(want-got) > 0.0501 {
				t.Fatalf("channel %d, row %d: read %v K, written %v K", c+1, k, got, want)
			}
		}
		if n := s.Len(); n != len(rows) {
			t.Errorf("channel %d: %d readings, written %d", c+1, n, len(rows))
		}
	}
}

// Positions come back from CSV, GPX and NMEA.
func TestFixesAreReadBack(t *testing.T) {
	h := simulate.Run(simulate.DemoCar(), simulate.OpenFilters(), valley(4), simulate.Conditions{Ambient: 290})
	fixes := simulate.Phone{Lag: 1, SpeedNoise: 0.1, PositionNoise: 2}.Fixes(testStart, h, rand.New(rand.NewPCG(2, 2)))
	for name, data := range map[string][]byte{"p.csv": simulate.CSV(fixes), "p.gpx": simulate.GPX(fixes), "p.nmea": simulate.NMEA(fixes)} {
		r := open(t, name, data)
		if r.Rows() != len(fixes) {
			t.Errorf("%s: %d rows of %d", name, r.Rows(), len(fixes))
		}
		if !r.Start.Equal(testStart) {
			t.Errorf("%s starts at %v, want %v", name, r.Start, testStart)
		}
	}
}

// A restart with the clock reset to its epoch is named and nothing is lost.
func TestRestartIsSeen(t *testing.T) {
	rows := testRows(t)
	l := simulate.Layouts()[0]
	data, err := l.Restart([]string{"T1", "T2", "T3", "T4"}, rows, 500, time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	r := open(t, "log.csv", data)
	n := r.Rows()
	for _, s := range r.Separate {
		n += s.Rows()
	}
	if n != len(rows) || len(r.Parts)+len(r.Separate) < 2 {
		t.Errorf("%d rows of %d in %d parts and %d separate recordings", n, len(rows), len(r.Parts), len(r.Separate))
	}
}
