package campaign_test

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

func asksFor(s *campaign.Sketch, id string) bool {
	return slices.ContainsFunc(s.Questions, func(q campaign.DraftQuestion) bool { return q.ID == id })
}

// Where no probe shows the outside air, the draft asks how warm it was on each
// drive; the answer stands in the drive, and is not asked for again, also where
// nobody noted it.
func TestDraftAsksForTheOutsideAir(t *testing.T) {
	dir := t.TempDir()
	for k := range 3 {
		text := "Time,Intake (°C),Coolant (°C)\n"
		for i := range 60 {
			text += fmt.Sprintf("%s,%.1f,%.1f\n", time.Date(2026, 5, 14+k, 9, 0, i, 0, time.UTC).Format("2006-01-02 15:04:05"), 20+float64(i)/6, 16+float64(i))
		}
		write(t, dir, fmt.Sprintf("run%d.csv", k+1), text)
	}
	given := []campaign.DraftAnswer{{ID: "configuration", Value: "1,3=open,2=duct"}}
	draft := func(air string) (*campaign.Sketch, error) {
		return campaign.DraftWith(dir, campaign.DraftOptions{Answers: append(slices.Clone(given), campaign.DraftAnswer{ID: "air-temperature", Value: air})})
	}
	s, err := campaign.Draft(dir)
	if err != nil || !asksFor(s, "air-temperature") {
		t.Fatalf("%v, not asked: %v", err, s)
	}
	for value, says := range map[string]string{"mild": "no temperature", "1-9=12 degC": "no drive", "1=12 degC,1=13 degC": "both"} {
		if _, err := draft(value); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want a word of %q", value, err, says)
		}
	}
	s, err = draft("1=12,3=53.6 degF")
	if err != nil || !asksFor(s, "air-temperature") || strings.Count(s.Text, "air-temperature = ") != 2 {
		t.Fatalf("%v, or nothing left to ask for drive 2\n%s", err, s.Text)
	}
	if _, err := s.Save(); err != nil {
		t.Fatal(err)
	}
	if s, err = draft("2=not noted"); err != nil || asksFor(s, "air-temperature") {
		t.Fatalf("%v, or asked again", err)
	}
	if _, err := s.Save(); err != nil {
		t.Fatal(err)
	}
	if s, err = campaign.Draft(dir); err != nil || asksFor(s, "air-temperature") {
		t.Errorf("%v, or asked again", err)
	}
	c, err := campaign.Open(filepath.Join(dir, "campaign.toml"))
	if err != nil {
		t.Fatal(err)
	}
	for name, has := range map[int]bool{0: true, 1: false} {
		d, err := c.Drive(c.DriveNames()[name])
		if err != nil || d.Has(drive.Ambient) != has {
			t.Errorf("drive %d: %v, ambient wanted: %t", name+1, err, has)
			continue
		}
		if a, err := d.Channel(drive.Ambient); has && (err != nil || math.Abs(a.Value[0]-285.15) > 1e-9) {
			t.Errorf("drive %d: %v", name+1, a)
		}
	}
}

// A log whose header names no unit that can be read is not ignored without a
// word: its columns change as probes do. An accelerometer's are.
func TestNumbersOfNoUnitAreAskedFor(t *testing.T) {
	dir := t.TempDir()
	probes, shakes := "When;\xd7\xd0\xd5\xd3\xcb;\xd7\xcf\xc4\xc1\n", "When;x;force;jolt\n"
	for i := range 240 {
		at := time.Date(2026, 5, 14, 9, 0, i, 0, time.UTC).Format("2006-01-02 15:04:05")
		probes += fmt.Sprintf("%s;%.1f;%.1f\n", at, 18+float64(i)/20, 17+float64(i)/4)
		shakes += fmt.Sprintf("%s;%.2f;%.2f;%.2f\n", at, float64(i*7919%97)/5, float64(i*104729%89)/9-4, 9.81+float64(i*15485863%83)/11)
	}
	write(t, dir, "probes.csv", probes)
	write(t, dir, "shakes.csv", shakes)
	s, err := campaign.Draft(dir)
	if err != nil {
		t.Fatal(err)
	}
	roles := 0
	for _, q := range s.Questions {
		if q.Kind == campaign.AskRole {
			roles++
		}
	}
	if roles != 2 {
		t.Errorf("%d roles are asked for, want the two probes'\n%s", roles, s)
	}
}
