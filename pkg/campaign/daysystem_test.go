package campaign_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
)

// A logger's text with day numbers that count from 1904 beside a phone's tracks of the
// same drives, which are 1,462 days later (ECMA-376 part 1, 18.17.4.1): it is asked, and
// with the answer the drives are of the day on which they were. Numbers of the usual
// system are not asked about.
func TestDayNumbersBesideTracks(t *testing.T) {
	start := time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC)
	for zero, asks := range map[time.Time]bool{time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC): false, time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC): true} {
		dir := t.TempDir()
		for drive := range 2 {
			log, track := "Time,Ambient (°C),Intake (°C)\n", "time,latitude,longitude,speed (m/s)\n"
			for i := range 600 {
				at := start.AddDate(0, 0, 3*drive).Add(time.Duration(2*i) * time.Second)
				log += fmt.Sprintf("%.8f,%.1f,%.1f\n", at.Sub(zero).Hours()/24, 15+float64(i%5)/10, 25+float64(i%90)/9)
				track += fmt.Sprintf("%s,%.6f,%.6f,%.1f\n", at.Format("2006-01-02T15:04:05Z"), 46.5+float64(i)*2e-4, 7.25, 15+5*float64(i/60%3))
			}
			write(t, dir, fmt.Sprintf("log%d.csv", drive), log)
			write(t, dir, fmt.Sprintf("track%d.csv", drive), track)
		}
		s, err := campaign.Draft(dir)
		if err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(s.Text, `time_format = "?"`); n != 0 != asks {
			t.Fatalf("days since %s: asked %d times\n%s", zero.Format(time.DateOnly), n, s.Text)
		}
		c := answered(t, s, `time_format = "?"`, `time_format = "days since 1904"`, `configuration = "?"`, `configuration = "before"`)
		if len(c.DriveNames()) != 2 {
			t.Fatalf("drives %q", c.DriveNames())
		}
		d, err := c.Drive(c.DriveNames()[0])
		if err != nil {
			t.Fatal(err)
		}
		if off := d.Start.Sub(start); off.Abs() > time.Minute || len(d.Channels) < 5 {
			t.Errorf("days since %s: the drive is of %v, %v", zero.Format(time.DateOnly), d.Start, d.RoleList())
		}
		if again, err := campaign.Draft(dir); err != nil || strings.Contains(again.Text, `time_format = "?"`) {
			t.Errorf("days since %s: asked again, %v", zero.Format(time.DateOnly), err)
		}
	}
}

// What the reader can't tell of a file's times the draft says.
func TestDraftTellsDoubtfulTimes(t *testing.T) {
	dir := t.TempDir()
	log := "Time (s),Ambient (°C)\n"
	for i := range 200 {
		log += fmt.Sprintf("%d,%.1f\n", 20*i, 15+float64(i%5)/10)
	}
	write(t, dir, "log.csv", log)
	s, err := campaign.Draft(dir)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Remarks) != 1 || s.Remarks[0].Kind != account.TimeUnit || s.Remarks[0].Subject != "log.csv" {
		t.Errorf("remarks %v", s.Remarks)
	}
}
