package verdict_test

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// slowRoad has no stretch at full throttle, and nothing that looks like one.
func slowRoad() []simulate.Leg {
	legs := simulate.ValleyRoad()
	for i := range legs {
		legs[i].Speed, legs[i].FullThrottle = min(legs[i].Speed, 14), false
	}
	return legs
}

// saved writes the campaign of some of the drives, with pieces of its text
// replaced, and returns its path.
func saved(t *testing.T, drives []*simulate.DemoDrive, replace ...string) string {
	t.Helper()
	for _, d := range drives {
		d.ClocksStated = true
	}
	files, err := simulate.CampaignFiles(drives)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.NewReplacer(replace...).Replace(string(files["campaign.toml"]))
	files["campaign.toml"] = []byte(text)
	dir := t.TempDir()
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return filepath.Join(dir, "campaign.toml")
}

func answer(t *testing.T, path string) *verdict.Answer {
	t.Helper()
	a, err := verdict.Open(path, verdict.Question{})
	if err != nil {
		t.Fatal(err)
	}
	if a.String() == "" || len(a.Drives()) == 0 {
		t.Error("the answer shows nothing")
	}
	return a
}

func difference(t *testing.T, a *verdict.Answer, id compare.StratumID) compare.Difference {
	t.Helper()
	for _, d := range a.Differences {
		if d.ID == id {
			return d
		}
	}
	t.Fatalf("no stratum %q in %v", id, a.Differences)
	return compare.Difference{}
}

// Simulation truth: the duct's rise at 50 to 85 km/h is 12 K below that of the
// open filters in each pair of the demo (mean-rise-50-to-85-kmh-K in
// testdata/demo/truth.toml: 16.67 and 4.59 in the first).
func TestWholeDemo(t *testing.T) {
	drives := simulate.Demo(simulate.DemoSeed)
	a := answer(t, saved(t, drives))
	if len(a.Runs) != 6 || len(a.LeftOut) != 0 || a.Order.OneAfterTheOther {
		t.Errorf("%v", a)
	}
	if d := difference(t, a, compare.RoadMiddle); d.Verdict != compare.Cooler || !d.Change.Interval.Contains(-12.1) {
		t.Errorf("%v", d)
	}
	if len(a.Power.Worths) != 1 || slices.ContainsFunc(a.Warnings, func(w estimate.Warning) bool { return w.Kind != compare.Weather }) { // days after were a degree warmer than any before
		t.Errorf("power %v, warnings %v", a.Power, a.Warnings)
	}
}

// What a user's data are likely to lack is said, and nothing panics.
func TestIncompleteCampaigns(t *testing.T) {
	valley := simulate.Demo(simulate.DemoSeed)
	t.Run("no full throttle", func(t *testing.T) {
		a := answer(t, saved(t, simulate.DemoOn(slowRoad(), 3)[:4]))
		if !estimate.Has(a.Warnings, verdict.NoFullThrottle) || len(a.Power.Worths) != 0 {
			t.Errorf("power %v, warnings %v", a.Power, a.Warnings)
		}
		if d := difference(t, a, compare.RoadSlow); d.Before.Drives != 2 || d.After.Drives != 2 {
			t.Errorf("%v", d)
		}
	})
	t.Run("no radiator probe", func(t *testing.T) {
		a := answer(t, saved(t, valley, `T4 = "top-tank"`, `T4 = "ignore"`, `K2 = "bottom-tank"`, `K2 = "ignore"`, `T3 = "engine-bay"`, `T3 = "ignore"`, `K3 = "radiator-air"`, `K3 = "ignore"`))
		silent := 0
		for _, w := range a.Warnings {
			if w.Kind == verdict.NothingCounts {
				silent++
			}
		}
		if len(a.Runs) != 6 || silent != 6 || !strings.Contains(a.String(), "No kind of driving") {
			t.Errorf("%v", a)
		}
		probe := false
		for _, s := range a.Next {
			probe = probe || strings.Contains(s.Do, "top tank")
		}
		if !probe {
			t.Errorf("no word of the probe that would help: %v", a.Next)
		}
	})
	t.Run("one drive each", func(t *testing.T) {
		a := answer(t, saved(t, valley[:2]))
		for _, d := range a.Differences {
			if d.Verdict != compare.NotComparable {
				t.Errorf("%v from one drive each", d)
			}
		}
	})
	t.Run("one side only", func(t *testing.T) {
		a := answer(t, saved(t, valley[:1]))
		if !estimate.Has(a.Warnings, verdict.OneSided) || len(a.Differences) != 0 || !strings.Contains(a.String(), "cold-air duct") {
			t.Errorf("%v", a)
		}
		if len(a.Next) == 0 || !strings.Contains(a.Next[0].Do, "cold-air duct") {
			t.Errorf("next: %v", a.Next)
		}
	})
	t.Run("no weather", func(t *testing.T) {
		a := answer(t, saved(t, valley[:4], `pressure = `, `# pressure = `, `altitude = "altitude"`, `altitude = "ignore"`))
		if !estimate.Has(a.Warnings, verdict.PowerNotKnown) {
			t.Errorf("power %v, warnings %v", a.Power, a.Warnings)
		}
	})
}

// One empty phone file, and one drive without a phone: both are left out with
// the step and the reason, the others give the answer.
func TestLeftOutIsShown(t *testing.T) {
	path := saved(t, simulate.Demo(simulate.DemoSeed), "[[drive.file]]\npath = \"duct-3-phone.csv\"\ndevice = \"phone\"\nclock-offset = \"-0.0 s\"\n", "")
	if err := os.WriteFile(filepath.Join(filepath.Dir(path), "open-3-phone.csv"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	a := answer(t, path)
	if len(a.Runs) != 4 || len(a.LeftOut) != 2 {
		t.Fatalf("%v", a)
	}
	for i, want := range []struct {
		drive string
		step  drive.Step
	}{{"open filters, third run", drive.Joining}, {"cold-air duct, third run", drive.Cutting}} {
		if l := a.LeftOut[i]; l.Drive != want.drive || l.Step != want.step || !strings.Contains(a.String(), l.String()) {
			t.Errorf("left out %v", l)
		}
		if _, err := a.Run(want.drive); err == nil || !strings.Contains(err.Error(), want.step.String()) {
			t.Errorf("asking for it: %v", err)
		}
	}
	if d := difference(t, a, compare.RoadMiddle); d.Before.Drives != 2 || d.After.Drives != 2 || d.Verdict != compare.Cooler {
		t.Errorf("%v", d)
	}
	if r, err := a.Run(""); err != nil || r.Drive.Name != "open filters, first run" {
		t.Errorf("the first run: %v, %v", r, err)
	}
}

func TestQuestionsThatCannotBeAnswered(t *testing.T) {
	path := saved(t, simulate.Demo(simulate.DemoSeed)[:2])
	for _, c := range []struct {
		q    verdict.Question
		want string
	}{
		{verdict.Question{Before: "open filters", After: "open filters"}, "named twice"},
		{verdict.Question{Before: "open filters"}, "say which"},
		{verdict.Question{Before: "open filters", After: "cold air duct"}, `did you mean "cold-air duct"`},
		{verdict.Question{Comparing: compare.Rules{Level: 0.95, Role: drive.Intake}}, "no strata"},
	} {
		if _, err := verdict.Open(path, c.q); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q", c.q, err, c.want)
		}
	}
	for _, stem := range []string{"open-1", "duct-1"} {
		if err := os.WriteFile(filepath.Join(filepath.Dir(path), stem+"-phone.csv"), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var out *drive.LeftOutError
	// The answer beside the error says what is missing, so that a notebook goes on.
	if a, err := verdict.Open(path, verdict.Question{}); !errors.As(err, &out) || !out.Partial() || out.Held != 0 || len(out.LeftOut) != 2 || a == nil || len(a.Runs) != 0 || len(a.Next) == 0 {
		t.Errorf("no drive holds: %v", err)
	}
	c, err := campaign.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := verdict.OfDrives(drive.Set{}, verdict.Question{Before: "a", After: "b"}); err == nil {
		t.Error("an answer from nothing")
	}
	if _, err := verdict.Of(c, verdict.Question{Before: "open filters", After: "open filters"}); err == nil {
		t.Error("before == after")
	}
}
