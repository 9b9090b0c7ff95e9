package campaign_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// pooled writes a growing log of drives with dates that can be read in two
// ways, on local time two hours ahead of UTC and 200 s slow, with a probe that
// nobody named, and a phone's track of each drive. Truth by construction.
func pooled(t *testing.T, dir string, days ...int) {
	t.Helper()
	var log strings.Builder
	for i, day := range days {
		start := time.Date(2026, 5, day, 9, 0, 0, 0, time.UTC).Add(time.Duration(37*i) * time.Minute)
		log.WriteString("Date;Time;T1 Ansaugluft;T2 grille;T3\n")
		for k := range 900 + 60*i {
			at := start.Add(time.Duration(2*k)*time.Second + 2*time.Hour - 200*time.Second)
			warm := min(1, float64(k)/300)
			fmt.Fprintf(&log, "%s;%s;%.1f;%.1f;%.1f\n", at.Format("02/01/2006"), at.Format("15:04:05"), 18+25*warm+float64(k%7)/10, 17+float64(k%5)/10, 18+66*warm+float64(k%3)/10)
		}
		var track strings.Builder
		track.WriteString("time,latitude,longitude,speed (m/s)\n")
		for k := range 1800 + 120*i {
			at := start.Add(time.Duration(k) * time.Second)
			fmt.Fprintf(&track, "%s,%.6f,%.6f,%.1f\n", at.Format("2006-01-02T15:04:05Z"), 46.5+float64(k)*1e-4, 7.25, 15+5*float64(k/120%3))
		}
		write(t, dir, start.Format("track_20060102.csv"), track.String())
	}
	write(t, dir, "LOG.TXT", log.String())
}

// All files of a device decide together: the order of its dates, its zone, its
// clock; a log of many drives is cut; what nobody can know is asked, once.
func TestDraftPools(t *testing.T) {
	dir := t.TempDir()
	pooled(t, dir, 3, 6, 9)
	s, err := campaign.Draft(dir)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Drives) != 3 {
		t.Fatalf("%d drives\n%s", len(s.Drives), s.Text)
	}
	for i, d := range s.Drives {
		if len(d.Files) != 2 || !slices.Contains(d.Files, "LOG.TXT") || d.Start.Month() != 5 {
			t.Errorf("drive %d: %q from %v", i+1, d.Files, d.Start)
		}
	}
	at := slices.IndexFunc(s.Devices, func(d campaign.DraftDevice) bool { return d.Files[0] == "LOG.TXT" })
	if c := s.Devices[at].Clock; c.ZoneHours != 2 || !(c.Low <= 200 && 200 <= c.High) || c.High-c.Low > 200 {
		t.Errorf("clock %+v", c)
	}
	var ids []string
	for _, q := range s.Questions {
		ids = append(ids, q.ID)
	}
	if fmt.Sprint(ids) != "[configuration role.logger-A.T3]" || s.Questions[1].Guess != string(drive.TopTank) || s.Questions[1].Subjects[0] != "logger A: T3" {
		t.Fatalf("questions %+v", s.Questions)
	}
	answers := []campaign.DraftAnswer{{ID: "configuration", Value: "1=open,2-3=duct"}, {ID: "role.logger-A.T3", Value: "coolant"}}
	if s, err = campaign.DraftWith(dir, campaign.DraftOptions{Answers: answers}); err != nil || len(s.Questions)+len(s.Needs) > 0 {
		t.Fatalf("%v, %v, %v", err, s.Questions, s.Needs)
	}
	saved, err := s.Save()
	if err != nil || !saved.Written {
		t.Fatal(saved, err)
	}
	c, err := campaign.Open(saved.Path)
	if err != nil {
		t.Fatal(err)
	}
	d, err := c.Drive(s.Drives[1].Name)
	if err != nil {
		t.Fatal(err)
	}
	if !d.Has(drive.Intake, drive.Ambient, drive.Coolant, drive.Speed) || d.Configuration != "duct" || d.Channels[drive.Intake].Series.Len() != 960 {
		t.Errorf("%v, %d readings", d.RoleList(), d.Channels[drive.Intake].Series.Len())
	}

	// What the owner writes stays; a new drive is added, and asked about alone.
	text, _ := os.ReadFile(saved.Path)
	own := strings.Replace(string(text), `name = "my car"`, "name = \"grandfather's saloon\"   # blue", 1) + "\n# the end\n"
	if err := os.WriteFile(saved.Path, []byte(own), 0o644); err != nil {
		t.Fatal(err)
	}
	pooled(t, dir, 3, 6, 9, 12)
	if s, err = campaign.Draft(dir); err != nil {
		t.Fatal(err)
	}
	if len(s.Drives) != 4 || len(s.Questions) != 1 || len(s.Questions[0].Subjects) != 1 || s.Questions[0].Subjects[0] != s.Drives[3].Name {
		t.Fatalf("%d drives, %+v", len(s.Drives), s.Questions)
	}
	if s, err = campaign.DraftWith(dir, campaign.DraftOptions{Answers: []campaign.DraftAnswer{{ID: "configuration", Value: "4=shield"}, {ID: "delta", Value: "2 K"}}}); err != nil {
		t.Fatal(err)
	}
	if saved, err = s.Save(); err != nil || !saved.Updated {
		t.Fatal(saved, err)
	}
	text, _ = os.ReadFile(saved.Path)
	for _, line := range strings.Split(strings.TrimSuffix(own, "\n"), "\n") {
		if !strings.Contains(string(text), line) {
			t.Errorf("lost: %s", line)
		}
	}
	if c, err = campaign.Open(saved.Path); err != nil || len(c.Entries) != 4 || c.Entries[3].Configuration != "shield" || c.Question.Delta != 2 || len(c.Configurations) != 3 {
		t.Errorf("%v, %+v", err, c)
	}
	if again, err := s.Save(); err != nil || again.Written {
		t.Errorf("nothing new was written: %+v, %v", again, err)
	}
}

// Files alone make drives, with what was assumed.
func TestFromFiles(t *testing.T) {
	dir := t.TempDir()
	pooled(t, dir, 3)
	drives, unread, err := campaign.FromFiles(filepath.Join(dir, "LOG.TXT"), filepath.Join(dir, "none.csv"))
	if err != nil || len(drives) != 1 || len(unread) != 1 || !drives[0].DateOpen {
		t.Fatalf("%+v, %q, %v", drives, unread, err)
	}
	d, err := drive.Join(drives[0].Request)
	if err != nil || !d.Has(drive.Intake, drive.Ambient, drive.TopTank) || len(drives[0].Assumed) != 2 {
		t.Errorf("%v, %v, %v", d, drives[0].Assumed, err)
	}
	if _, _, err := campaign.FromFiles(filepath.Join(dir, "none.csv")); err == nil {
		t.Error("no file at all")
	}
}

// renamed writes a campaign of a logger whose clock began in the year 2000 and
// whose owner wrote other names on its channels before the last drive, and of a
// phone that was along in the first two.
func renamed(t *testing.T, dir string) {
	t.Helper()
	for i, day := range []int{2, 3, 7, 9, 10} {
		start := time.Date(2026, 5, day, 15, 0, 0, 0, time.UTC).Add(time.Duration(-47*i) * time.Minute)
		header := "Date;Time;T1 airbox;T2 grille\n"
		if i == 4 {
			header = "Date;Time;CH1 air filter;CH2 outside\n"
		}
		var log, track strings.Builder
		log.WriteString(header)
		track.WriteString("time,latitude,longitude,speed (m/s)\n")
		for k := range 1200 + 45*i {
			at := start.Add(time.Duration(2*k) * time.Second)
			own := at.Add(-9500*24*time.Hour - 137*time.Second)
			fmt.Fprintf(&log, "%s;%s;%.1f;%.1f\n", own.Format("2006-01-02"), own.Format("15:04:05"), 18+25*min(1, float64(k)/300)+float64(k%7)/10, 17+float64(k%5)/10)
			fmt.Fprintf(&track, "%s,%.6f,%.6f,%.1f\n", at.Format("2006-01-02T15:04:05Z"), 46.5+float64(k)*2e-4, 7.25, 15+5*float64(k/60%3))
		}
		write(t, dir, fmt.Sprintf("LOG%04d.csv", i+1), log.String())
		if i < 2 {
			write(t, dir, start.Format("track_20060102.csv"), track.String())
		}
	}
}

// Five drives stay five: a file that fits the first drive if only its clock were
// another, has the clock of the box that wrote the rest.
func TestDraftKeepsTheClockOfARenamedBox(t *testing.T) {
	dir := t.TempDir()
	renamed(t, dir)
	s, err := campaign.Draft(dir)
	if err != nil {
		t.Fatal(err)
	}
	var days []int
	for _, d := range s.Drives {
		days = append(days, d.Start.Day())
	}
	if !slices.Equal(days, []int{2, 3, 7, 9, 10}) || !slices.Equal(s.Drives[len(s.Drives)-1].Files, []string{"LOG0005.csv"}) {
		t.Errorf("drives of %v\n%s", days, s.Text)
	}
}
