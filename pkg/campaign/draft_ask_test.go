package campaign_test

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// askingFolder holds the four files of one drive on 4 May 2026: a logger with
// dates of open order, which the track settles, one without a unit of
// temperature, one with neither question, and a track.
func askingFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	var intake, tank, bay, track strings.Builder
	intake.WriteString("Time,Intake (°C),Ambient (°C)\n")
	tank.WriteString("Date;Time;Top tank\n")
	bay.WriteString("Time\tEngine bay [°C]\n")
	track.WriteString(`<gpx version="1.1"><trk><trkseg>`)
	for i := range 300 {
		at := time.Date(2026, 5, 4, 9, 0, i, 0, time.UTC)
		fmt.Fprintf(&intake, "%s,%.1f,%.1f\n", at.Format("02/01/2006 15:04:05"), 20+float64(i)/20, 17+float64(i%7)/10)
		fmt.Fprintf(&tank, "%s;%s;%.1f\n", at.Format("2006-01-02"), at.Format("15:04:05"), 60+float64(i)/20)
		fmt.Fprintf(&bay, "%s\t%.1f\n", at.Format("2006-01-02 15:04:05"), 30+float64(i)/10)
		fmt.Fprintf(&track, `<trkpt lat="%.6f" lon="7.25"><ele>400</ele><time>%s</time></trkpt>`, 46.5+float64(i)*1e-4, at.Format(time.RFC3339))
	}
	track.WriteString(`</trkseg></trk></gpx>`)
	write(t, dir, "run1-intake.csv", intake.String())
	write(t, dir, "run1-tank.csv", tank.String())
	write(t, dir, "run1-bay.txt", bay.String())
	write(t, dir, "run1-track.gpx", track.String())
	return dir
}

// TestDraftAsks asks for what only the person can know, and for nothing else.
func TestDraftAsks(t *testing.T) {
	dir := askingFolder(t)
	s, err := campaign.Draft(dir)
	if err != nil {
		t.Fatal(err)
	}
	var keys []string
	for _, n := range s.Needs {
		keys = append(keys, n.Key[strings.LastIndex(n.Key, ".")+1:])
		if !strings.Contains(n.Message, "this needs you") {
			t.Errorf("%v", n)
		}
	}
	slices.Sort(keys)
	if want := "configuration temperature_unit"; strings.Join(keys, " ") != want || len(s.Unused) != 0 {
		t.Fatalf("asks for %q, want %q; unused %q\n%s", keys, want, s.Unused, s.Text)
	}
	// The remark behind a question has the evidence and the readings.
	for _, want := range []string{
		"These 2 things need you", "4 files in 1 drive", `date_order = "dmy"`,
		"run1-tank.csv", `"°F" is `,
	} {
		if !strings.Contains(s.Text+s.String(), want) {
			t.Errorf("the draft does not say %q:\n%s\n%s", want, s, s.Text)
		}
	}
	saved, err := s.Save()
	if err != nil {
		t.Fatal(err)
	}
	_, err = campaign.Open(saved.Path)
	var ps campaign.Problems
	if !errors.As(err, &ps) || len(ps) != 2 {
		t.Fatalf("opening the draft: %v", err)
	}
	text := s.Text
	for key, answer := range map[string]string{"configuration": `"before"`, "temperature_unit": `"°C"`} {
		text = strings.Replace(text, key+` = "?"`, key+" = "+answer, 1)
	}
	if err := os.WriteFile(saved.Path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	c, err := campaign.Open(saved.Path)
	if err != nil {
		t.Fatal(err)
	}
	d, err := c.Drive(c.DriveNames()[0])
	if err != nil {
		t.Fatal(err)
	}
	if !d.Has(drive.Intake, drive.Ambient, drive.TopTank, drive.EngineBay, drive.Speed) || d.Start.Format("2006-01-02") != "2026-05-04" {
		t.Errorf("%v\n%v", d.Start, d.RoleList())
	}
	if k := d.Channels[drive.TopTank].Series.Value[0]; k != 273.15+60 {
		t.Errorf("top tank %v K", k)
	}
}
