package verdict_test

import (
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// A weather report's pressure, taken as measured at the car at 430 m, is asked
// about in the answer, a humidity of half a percent and an altitude in feet, too:
// among the flaws, which every form of the answer shows, and by a look at the drive.
// The demo's own weather is not.
func TestDoubtfulWeatherReachesTheAnswer(t *testing.T) {
	const drive, pressure, humidity = "open filters, first run", `"962.1 hPa"`, `"62 %"`
	text := simulate.Demo(simulate.DemoSeed)
	for kind, path := range map[estimate.Kind]string{
		air.PressureDoubtful: saved(t, text, pressure, `"1013 hPa"`),
		air.HumidityDoubtful: saved(t, text, humidity, `"0.62 %"`),
		air.AltitudeDoubtful: saved(t, text, "pressure = "+pressure, "qnh = \"1015 hPa\"\naltitude = \"1410 m\""),
		"":                   saved(t, text),
	} {
		told := 0
		a := answer(t, path)
		j := a.Judge(campaign.InPlace)
		for _, f := range j.Flaws {
			if f.Kind == verdict.FlawWeather && strings.Contains(f.Text, drive) && strings.Contains(f.Text, "put right in the campaign") {
				told++
			}
		}
		if want := kind != ""; told > 0 != want || want != estimate.Has(a.Warnings, kind) || estimate.Has(j.Remarks, kind) {
			t.Errorf("%q: told %d times, warnings %v, remarks %v", kind, told, a.Warnings, j.Remarks)
		}
		if kind == "" {
			continue
		}
		c, err := campaign.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		d, err := c.Drive(drive)
		if err != nil {
			t.Fatal(err)
		}
		if l := verdict.LookAt(d, segment.DefaultRules()); !estimate.Has(l.Checks, kind) {
			t.Errorf("%q: a look says %v", kind, l.Checks)
		}
	}
}

// The days after were a degree warmer than any before: said as a flaw, and not
// once more among the remarks.
func TestWeatherIsToldOnce(t *testing.T) {
	a := answer(t, saved(t, simulate.Demo(simulate.DemoSeed)))
	j := a.Judge(campaign.InPlace)
	told := 0
	for _, f := range j.Flaws {
		if f.Kind == verdict.FlawWeather {
			told++
		}
	}
	if told != 1 || !estimate.Has(a.Warnings, compare.Weather) || estimate.Has(j.Remarks, compare.Weather) {
		t.Errorf("%d flaws, remarks %v, warnings %v", told, j.Remarks, a.Warnings)
	}
}
