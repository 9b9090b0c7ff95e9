package thermostat

import (
	"math"
	"path/filepath"
	"slices"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/reallog"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// realCase is one real log and what one reader saw by eye in its plot.
type realCase struct {
	file          string
	onset, within float64 // s; onset 0: never opens
}

var realCases = []realCase{
	{"car_a/live1.csv", 525, 20}, {"car_a/live3.csv", 355, 12}, {"car_a/live27.csv", 370, 12},
	{"car_a/drive12.csv", 312, 8}, {"car_a/drive5.csv", 0, 0},
	{"car_b/2018-02-14.csv", 930, 12}, {"car_b/2018-03-22.csv", 1090, 20}, {"car_b/2017-07-11.csv", 1420, 25},
	{"car_b/2018-02-27.csv", 0, 0},
}

// Logs of two real cars, which are not part of the project; the test runs
// where the variable names their folder.
func TestRealDrives(t *testing.T) {
	folder := reallog.Folder(t)
	for _, c := range realCases {
		t.Run(c.file, func(t *testing.T) {
			d := readReal(t, filepath.Join(folder, c.file))
			r, err := Find(d)
			if err != nil {
				t.Fatal(err)
			}
			t.Log(r)
			if c.onset == 0 {
				if r.Outcome != NotReached {
					t.Errorf("outcome %v, by eye it never opens", r.Outcome)
				}
				return
			}
			if r.Outcome != Opened || math.Abs(r.Onset-c.onset) > c.within {
				t.Errorf("%v at %.0f s, by eye %.0f ± %.0f s", r.Outcome, r.Onset, c.onset, c.within)
			}
		})
	}
}

// readReal opens a log that has what this package reads.
func readReal(t *testing.T, path string) *drive.Drive {
	t.Helper()
	d := reallog.Drive(t, path)
	if !d.Has(drive.Coolant, drive.Speed) {
		t.Fatalf("%s: columns not recognised: %v", path, d)
	}
	return d
}

// Copies of the real logs that end before the opening, at many places: none may
// be called opened, stuck open or, but for the log of a hot engine, already open.
func TestRealDrivesCutShort(t *testing.T) {
	folder := reallog.Folder(t)
	cases := slices.Clone(realCases)
	more, err := filepath.Glob(filepath.Join(folder, "car_b_more", "*.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range more {
		cases = append(cases, realCase{file: filepath.Join("car_b_more", filepath.Base(f)), onset: math.NaN()})
	}
	copies, outcomes := 0, map[Outcome]int{}
	for _, c := range cases {
		hot := false // the engine was, from the first reading
		d := readReal(t, filepath.Join(folder, c.file))
		span := d.Interval()
		until := c.onset - c.within
		switch {
		case c.onset == 0:
			until = span.To
		case math.IsNaN(c.onset): // no reading by eye: the whole log's own answer
			r, err := Find(d)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%s: %v %.0f %v", c.file, r.Outcome, r.Onset, r.Interval95)
			if until = r.Interval95.From; r.Outcome != Opened {
				until = span.To
			}
			hot = r.Outcome == AlreadyOpen
		}
		for x := span.From + 60; x < until; x += max(10, (until-span.From)/30) {
			short := &drive.Drive{Name: d.Name, Start: d.Start, Channels: map[drive.Role]*drive.Channel{}}
			for role, ch := range d.Channels {
				short.Channels[role] = &drive.Channel{Role: role, Series: ch.Series.Slice(series.Interval{From: span.From, To: x})}
			}
			r, err := Find(short)
			if err != nil {
				continue
			}
			copies++
			outcomes[r.Outcome]++
			if r.Outcome == Opened || r.Outcome == StuckOpen || r.Outcome == AlreadyOpen && !hot {
				t.Errorf("%s cut at %.0f s: %v", c.file, x, r)
			}
		}
	}
	t.Logf("%d copies: %v", copies, outcomes)
}
