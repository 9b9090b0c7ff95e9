package campaign_test

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

func open(t *testing.T, text string) *campaign.Campaign {
	t.Helper()
	c, err := campaign.Open(folder(t, text))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestDriveFromFiles(t *testing.T) {
	c := open(t, valid)
	d, err := c.Drive("open filters, first run")
	if err != nil {
		t.Fatal(err)
	}
	if !d.Has(drive.Ambient, drive.Intake, drive.EngineBay, drive.TopTank, drive.Speed) {
		t.Fatalf("roles %v", d.RoleList())
	}
	if !d.Start.Equal(begin) {
		t.Errorf("start %v, want %v", d.Start, begin)
	}
	// The files' first rows: 20.0 °C less the stated 0.6 K, and a phone whose
	// 12.5 s late clock is set right.
	intake := d.Channels[drive.Intake]
	if got := intake.Series.Value[0]; math.Abs(got-(273.15+20-0.6)) > 1e-9 {
		t.Errorf("first intake %v", got)
	}
	if repairs := intake.RepairsIn(quantity.Preferred{}); len(repairs) != 1 || !strings.Contains(repairs[0], "−0.60 K") {
		t.Errorf("the calibration is not shown: %q", repairs)
	}
	if got := d.Channels[drive.Speed].Series.Time[0]; math.Abs(got) > 1e-6 {
		t.Errorf("speed begins at %v s, want 0", got)
	}
	if d.Weather.Pressure != 100800 || d.Weather.Humidity != 0.55 || !d.Weather.HumidityKnown {
		t.Errorf("weather %+v", d.Weather)
	}
	table := d.Quality().String()
	for _, want := range []string{"logger A", "phone", "ambient", "covered", "−0.60 K", "stated offset"} {
		if !strings.Contains(table, want) {
			t.Errorf("the quality table does not show %q:\n%s", want, table)
		}
	}
}

// QNH 1020 hPa at 500 m is 960.97 hPa by p = QNH·(1 − 0.0065·h/288.15)^5.25588,
// computed by hand. Package air follows the altimeter's definition, which
// starts from 1013.25 hPa and differs from that by up to 0.15 hPa here.
func TestWeather(t *testing.T) {
	for _, c := range []struct {
		what, text string
		pressure   float64
		tolerance  float64
		source     string
	}{
		{"qnh and altitude", "qnh = \"1020 hPa\"\naltitude = \"500 m\"", 96097, 15, "QNH"},
		{"altitude alone", `altitude = "1000 m"`, 89876, 1, "standard atmosphere"}, // US Std Atm 1976 table I: 8.9876E4 Pa at 1000 m geometric
		{"nothing", "", 0, 0, "not known"},
	} {
		d, err := open(t, with(t, `pressure = "1008 hPa"`, c.text)).Drive("open filters, first run")
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(d.Weather.Pressure)-c.pressure) > c.tolerance || !strings.Contains(d.Weather.Source, c.source) {
			t.Errorf("%s: %+v", c.what, d.Weather)
		}
	}
	// At 20 °C, a dew point of 9.3 °C is 50 %: saturation pressures 2339 and
	// 1171 Pa (IAPWS steam tables).
	d, err := open(t, with(t, `humidity = "55 %"`, "dew-point = \"9.3 degC\"\nair-temperature = \"20 degC\"")).Drive("open filters, first run")
	if err != nil {
		t.Fatal(err)
	}
	if h := float64(d.Weather.Humidity); math.Abs(h-0.5007) > 0.001 {
		t.Errorf("humidity %v from the dew point", h)
	}
}

func TestNoOverlapIsSaid(t *testing.T) {
	c := open(t, with(t, `"12.5 s"`, `"2 h"`))
	_, err := c.Drive("open filters, first run")
	if !errors.Is(err, drive.ErrNoOverlap) {
		t.Fatalf("error %v", err)
	}
	for _, want := range []string{"open-1-a.csv", "open-1-phone.csv", "clock-offset", "10:59:47"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q does not name %q", err, want)
		}
	}
}

// Sync events: the phone shows every event 12.5 s early.
func TestSyncEvents(t *testing.T) {
	text := with(t, `clock-offset = "0 s"`, `sync = ["09:01:00", "09:05:00"]`)
	text = strings.Replace(text, `clock-offset = "12.5 s"`, `sync = ["2026-05-03 09:00:47.5", "2026-05-03 09:04:47.5"]`, 1)
	d, err := open(t, text).Drive("open filters, first run")
	if err != nil {
		t.Fatal(err)
	}
	r := d.Clocks[1].Result
	if math.Abs(r.Offset-12.5) > 1e-6 || !r.Interval.Contains(12.5) || r.Interval.Duration() > 3 {
		t.Errorf("%v", r)
	}
}

func TestUnknownNamesAreSuggested(t *testing.T) {
	c := open(t, valid)
	if _, err := c.Drive("open filters, frist run"); err == nil || !strings.Contains(err.Error(), `did you mean "open filters, first run"`) {
		t.Errorf("%v", err)
	}
	if _, err := c.Drives("cold air duct"); err == nil || !strings.Contains(err.Error(), `did you mean "cold-air duct"`) {
		t.Errorf("%v", err)
	}
	if all, err := c.Drives(); err != nil || len(all) != 1 {
		t.Errorf("%v %v", all, err)
	}
}

// One empty phone file costs one drive, not all: Gather names it with the
// reason, Drives gives the others beside a partial error.
func TestOneBadLogLeavesTheOthers(t *testing.T) {
	path := folder(t, valid+`[[drive]]
name = "cold-air duct, first run"
configuration = "cold-air duct"
[[drive.file]]
path = "duct-1-phone.csv"
device = "phone"
`)
	write(t, filepath.Dir(path), "duct-1-phone.csv", "")
	c, err := campaign.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	all, err := c.Gather()
	if err != nil || len(all.Drives) != 1 || len(all.LeftOut) != 1 {
		t.Fatal(all, err)
	}
	out := all.LeftOut[0]
	if out.Drive != "cold-air duct, first run" || out.Configuration != "cold-air duct" || out.Step != drive.Joining || !errors.Is(out.Why, recording.ErrEmpty) {
		t.Errorf("left out: %+v", out)
	}
	if !strings.Contains(all.String(), "duct-1-phone.csv") || !strings.Contains(all.String(), "open filters, first run") {
		t.Errorf("said: %v", all)
	}
	drives, err := c.Drives("open filters", "cold-air duct")
	var partial *drive.LeftOutError
	if len(drives) != 1 || !errors.As(err, &partial) || !partial.Partial() {
		t.Errorf("%v, %v", drives, err)
	}
	if _, err = c.Drives("cold-air duct"); !errors.As(err, &partial) || partial.Partial() {
		t.Errorf("nothing held, and the error says %v", err)
	}
	if _, err := c.Gather("open filters", "open filters"); err == nil || !strings.Contains(err.Error(), "named twice") {
		t.Errorf("before == after: %v", err)
	}
}

func TestExclude(t *testing.T) {
	text := valid + "[[drive.exclude]]\nfrom = \"100 s\"\nto = \"200 s\"\nrole = \"intake\"\nreason = \"bonnet open\"\n"
	d, err := open(t, text).Drive("open filters, first run")
	if err != nil {
		t.Fatal(err)
	}
	missing := 0
	for i, v := range d.Channels[drive.Intake].Series.Value {
		if math.IsNaN(v) {
			missing++
			if x := d.Channels[drive.Intake].Series.Time[i]; x < 100 || x >= 200 {
				t.Errorf("value at %v s was left out", x)
			}
		}
	}
	if missing != 50 || !strings.Contains(d.Quality().String(), "bonnet open") {
		t.Errorf("%d values left out, want 50", missing)
	}
}

func TestDraft(t *testing.T) {
	path := folder(t, valid)
	dir := filepath.Dir(path)
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	write(t, dir, "empty.csv", "")
	s, err := campaign.Draft(dir)
	if err != nil {
		t.Fatal(err)
	}
	// Four temperatures without a telling header, and the drive's configuration.
	if len(s.Needs) != 5 {
		t.Errorf("%v\n%s", s, s.Text)
	}
	if len(s.Unused) != 1 || !strings.Contains(s.String(), "empty.csv") {
		t.Errorf("unused %q", s.Unused)
	}
	saved, err := s.Save()
	if err != nil {
		t.Fatal(err)
	}
	if again, err := s.Save(); err != nil || again.Written || again.Path != saved.Path || len(again.Differences) > 0 {
		t.Errorf("a second Save of the same draft: %+v, %v", again, err)
	}
	// Opening the draft asks for the same things; answering them opens it.
	_, err = campaign.Open(saved.Path)
	var ps campaign.Problems
	if !errors.As(err, &ps) || len(ps) != len(s.Needs) {
		t.Fatalf("opening the draft: %v", err)
	}
	text := s.Text
	for _, answer := range []string{`"ambient"`, `"intake"`, `"engine-bay"`, `"top-tank"`, `"before"`} {
		text = strings.Replace(text, `= "?"`, "= "+answer, 1)
	}
	write(t, dir, "campaign.toml", text)
	c, err := campaign.Open(saved.Path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Drive(c.DriveNames()[0]); err != nil {
		t.Error(err)
	}
	if _, err := campaign.Draft(t.TempDir()); err == nil {
		t.Error("a draft from an empty folder")
	}
}

// Two loggers with one role: the probe of the campaign's first device plays it,
// whichever log of a drive is named first, and a spare one only where it is alone.
func TestOneProbeInEveryDrive(t *testing.T) {
	second := `[[device]]
name = "logger B"
[device.channels]
"2" = "intake"
"3" = "spare engine-bay"
[[drive]]
name = "open filters, first run"`
	text := with(t, "[[drive]]\nname = \"open filters, first run\"", second)
	logA := "[[drive.file]]\npath = \"open-1-a.csv\"\ndevice = \"logger A\"\nclock-offset = \"0 s\"\n"
	logB := strings.Replace(strings.Replace(logA, "logger A", "logger B", 1), "open-1-a", "open-1-b", 1)
	for _, c := range []struct{ text, logs, intake, bay string }{
		{text, logA + logB, "logger A", "logger A"},
		{text, logB + logA, "logger A", "logger A"},
		{strings.Replace(text, `"2" = "intake"`, `"2" = "spare intake"`, 1), logB + logA, "logger B", "logger A"},
		{text, logB, "logger B", "logger B"},
	} {
		text := strings.Replace(strings.Replace(c.text, logA, c.logs, 1), "[device.calibration]\n\"2\" = { offset = -0.6, uncertainty = 0.2 }\n", "", 1)
		path := folder(t, text)
		logger, _ := logs(600)
		write(t, filepath.Dir(path), "open-1-b.csv", logger)
		opened, err := campaign.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		d, err := opened.Drive("open filters, first run")
		if err != nil {
			t.Fatal(err)
		}
		if got := d.Channels[drive.Intake].Device; got != c.intake {
			t.Errorf("%q: the intake is that of %s, want %s", c.logs, got, c.intake)
		}
		if got := d.Channels[drive.EngineBay].Device; got != c.bay {
			t.Errorf("%q: the engine bay is that of %s, want %s", c.logs, got, c.bay)
		}
	}
}
