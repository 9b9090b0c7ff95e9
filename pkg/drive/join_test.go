package drive_test

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	. "github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

const demo = "../../testdata/demo/"

// phone and loggerA are the demo's sources for one drive. Logger A's clock is
// wrong by what truth.toml says.
func phone(stem string) Source {
	return Source{Device: "phone", Files: []string{demo + stem + "-phone.csv"}, Columns: []Column{{Name: "speed", Role: Speed}}}
}

func loggerA(stem string) Source {
	return Source{Device: "logger A", Files: []string{demo + stem + "-logger-a.csv"}, Layout: recording.Layout{Zone: "+02:00"},
		Columns: []Column{{Name: "T1", Role: Ambient}, {Name: "T2", Role: Intake}, {Name: "T3", Role: EngineBay}, {Name: "T4", Role: TopTank}}}
}

func clockOf(t *testing.T, d *Drive, device string) DeviceClock {
	t.Helper()
	for _, c := range d.Clocks {
		if c.Device == device {
			return c
		}
	}
	t.Fatalf("no clock of %s", device)
	return DeviceClock{}
}

func loggerB(stem string) Source {
	return Source{Device: "logger B", Files: []string{demo + stem + "-logger-b.txt"}, Layout: recording.Layout{Zone: "+02:00"},
		Columns: []Column{{Name: "K1", Role: Intake}, {Name: "K2", Role: BottomTank}, {Name: "K3", Role: RadiatorAir}}}
}

// Simulation truth: in the demo's drive duct-1 logger B runs 95 s fast
// (testdata/demo/truth.toml). Every door finds it: files, and bare series of
// recordings that were read before.
func TestEveryDoorAligns(t *testing.T) {
	const planted = -95.0
	fromFiles, err := Join(Request{Name: "duct-1", Sources: []Source{phone("duct-1"), loggerB("duct-1")}})
	if err != nil {
		t.Fatal(err)
	}
	var parts []Part
	for _, s := range []Source{phone("duct-1"), loggerB("duct-1")} {
		r, err := recording.Open(s.Files[0], recording.Options{Layout: s.Layout})
		if err != nil {
			t.Fatal(err)
		}
		p := Part{Device: s.Device, File: filepath.Base(s.Files[0])}
		for _, c := range s.Columns {
			col, err := r.Column(c.Name)
			if err != nil {
				t.Fatal(err)
			}
			p.Inputs = append(p.Inputs, Input{Role: c.Role, Series: col.Series, Column: c.Name})
		}
		parts = append(parts, p)
	}
	fromSeries, err := Assemble("duct-1", "", parts)
	if err != nil {
		t.Fatal(err)
	}
	for door, d := range map[string]*Drive{"files": fromFiles, "series": fromSeries} {
		c := clockOf(t, d, "logger B")
		if !c.Aligned() || c.Reference || !c.Result.Interval.Contains(planted) || c.Result.Interval.Duration() > 40 {
			t.Errorf("%s: %v, planted %+v s", door, c, planted)
		}
		if !clockOf(t, d, "phone").Reference {
			t.Errorf("%s: the phone is not the reference", door)
		}
	}
}

// A clock that is handed in, as one found over a whole campaign is, is used as
// it stands.
func TestGivenClockIsUsed(t *testing.T) {
	a := loggerA("open-1")
	given := clock.Result{Method: clock.SharedQuantity, Offset: -70, Interval: series.Interval{From: -71, To: -69}}
	a.Clock = &given
	p := phone("open-1")
	p.Clock = &clock.Result{}
	d, err := Join(Request{Name: "open-1", Sources: []Source{p, a}})
	if err != nil {
		t.Fatal(err)
	}
	if c := clockOf(t, d, "logger A"); c.Result.Offset != -70 || c.Result.Method != clock.SharedQuantity || c.Result.Origin.IsZero() {
		t.Errorf("%v", c)
	}
	if c := clockOf(t, d, "phone"); !c.Reference || !c.Aligned() {
		t.Errorf("%v", c)
	}
	if given.Origin != (time.Time{}) {
		t.Error("the caller's result was changed")
	}
}

// Two devices with nothing in common can't be aligned: said as a check with a
// kind, a device and the way out.
func TestNotAlignedIsSaid(t *testing.T) {
	a := Part{Device: "left", File: "a.csv", Inputs: []Input{{Role: Coolant, Series: channel(series.Temperature, 0, 900, 2, celsius(80)), Column: "1"}}}
	b := Part{Device: "right", File: "b.csv", Inputs: []Input{{Role: Barometer, Series: channel(series.Pressure, 0, 900, 2, func(float64) float64 { return 1e5 }), Column: "1"}}}
	d := assemble(t, a, b)
	var found []Check
	for _, c := range d.Checks() {
		if c.Suspicion == ClockNotAligned {
			found = append(found, c)
		}
	}
	if len(found) != 1 || found[0].Device != "right" || !strings.Contains(found[0].Message, "clock-offset") || !math.IsNaN(found[0].Size) {
		t.Errorf("checks %+v", d.Checks())
	}
	if !strings.Contains(d.Quality().String(), "not aligned") {
		t.Errorf("the quality table does not say so:\n%v", d)
	}
}

func TestJoinNamesEveryFileAtFault(t *testing.T) {
	empty := filepath.Join(t.TempDir(), "empty.csv")
	if err := os.WriteFile(empty, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	wrong := loggerA("open-1")
	wrong.Columns[1].Name = "T22"
	_, err := Join(Request{Name: "bad", Sources: []Source{
		{Device: "phone", Files: []string{empty}}, {Device: "logger B", Files: []string{"missing.csv"}}, wrong, {Device: "none"},
	}})
	if !errors.Is(err, recording.ErrEmpty) || !errors.Is(err, fs.ErrNotExist) {
		t.Fatalf("error %v", err)
	}
	for _, want := range []string{`"bad"`, "empty.csv", "missing.csv", `"T22"`, `did you mean "T2"`, `"none"`} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%v\n\tdoes not name %s", err, want)
		}
	}
	if _, err := Join(Request{Name: "nothing"}); err == nil {
		t.Error("a drive of nothing")
	}
}

// Undated recordings are put on the day of a dated one; a stated drift then
// counts from the recording's start, not from year 1, and noted events fall on
// that day too.
func TestUndatedWithStatedClock(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "undated.csv")
	text := "time;speed (km/h)\n"
	for i := range 600 {
		text += time.Date(1, 1, 1, 11, 0, i, 0, time.UTC).Format("15:04:05") + ";36\n"
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	dated := Source{Device: "logger A", Files: []string{demo + "open-1-logger-a.csv"}, Columns: []Column{{Name: "T1", Role: Ambient}}}
	r, err := recording.Open(dated.Files[0], recording.Options{})
	if err != nil {
		t.Fatal(err)
	}
	u, err := recording.Open(path, recording.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if u.Dated {
		t.Fatal("the file has a date")
	}
	late := u.Start.Hour()*3600 - (r.Start.Hour()*3600 + r.Start.Minute()*60 + r.Start.Second())
	k := clock.Stated(float64(-late+100), 20e-6, 1, time.Time{})
	undated := Source{Device: "phone", Recordings: []*recording.Recording{u}, Columns: []Column{{Name: "speed", Role: Speed}}, Clock: &k}
	dated.Clock = &clock.Result{}
	d, err := Join(Request{Name: "one", Sources: []Source{dated, undated}})
	if err != nil {
		t.Fatal(err)
	}
	if got := d.Channels[Speed].Series.Time[0]; math.Abs(got-100) > 1 {
		t.Errorf("the speed begins at %.1f s, want 100", got)
	}
	dated.Clock, undated.Clock = nil, nil
	dated.Sync = []time.Time{r.Start.Add(150 * time.Second)}
	undated.Sync = []time.Time{time.Date(0, 1, 1, 11, 0, 50, 0, time.UTC)}
	if d, err = Join(Request{Name: "one", Sources: []Source{dated, undated}}); err != nil {
		t.Fatal(err)
	}
	if got := d.Channels[Speed].Series.Time[0]; math.Abs(got-100) > 1 {
		t.Errorf("by events the speed begins at %.1f s, want 100", got)
	}
}
