package verdict_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/reallog"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// unchanged returns the drives of a real car on which nothing was changed, and their
// rises. The logs are not part of the project; the test runs where the variable names
// their folder.
func unchanged(t *testing.T, rules compare.Rules) ([]verdict.Run, []compare.DriveRise) {
	t.Helper()
	folder := reallog.Folder(t)
	files, err := filepath.Glob(filepath.Join(folder, "car_b_more", "*.csv"))
	if err != nil || len(files) < 20 {
		t.Fatalf("%d logs, %v", len(files), err)
	}
	var drives []*drive.Drive
	for _, path := range files {
		d := reallog.Drive(t, path)
		if d.Start, err = time.Parse(time.DateOnly, d.Name[:10]); err != nil { // the date is the name's
			t.Fatal(err)
		}
		if d.Has(drive.Intake, drive.Ambient, drive.Speed, drive.Coolant) {
			drives = append(drives, d)
		}
	}
	runs, _ := verdict.Cut(drives, segment.DefaultRules())
	full, brisk := 0, 0
	var compared []compare.Run
	for _, r := range runs {
		full, brisk = full+len(segment.Select(r.Segments, segment.FullThrottle)), brisk+len(segment.Select(r.Segments, segment.Brisk))
		compared = append(compared, compare.Run{Drive: r.Drive, Segments: r.Segments})
	}
	t.Logf("%d drives, %d stretches at full throttle, %d brisk", len(runs), full, brisk)
	rises, err := compare.Rises(compared, rules)
	if err != nil {
		t.Fatal(err)
	}
	return runs, rises
}

// With 4 K planted in the drives called after, random halves of the unchanged car
// find them and their intervals hold them, on roads above 60 km/h.
func TestPlantedOnRealDrives(t *testing.T) {
	const planted, campaigns = -4.0, 200
	rules := compare.DefaultRules()
	_, rises := unchanged(t, rules)
	for _, id := range []compare.StratumID{compare.RoadMiddle, compare.RoadFast} {
		var names []string
		for _, r := range rises {
			if r.ID == id && !math.IsNaN(float64(r.Mean)) {
				names = append(names, r.Drive)
			}
		}
		random := rand.New(rand.NewPCG(20261127, 4))
		rules.Primary = id
		for _, n := range []int{3, 4, 8} {
			if len(names) < 2*n {
				t.Logf("%s: %d drives only", id, len(names))
				continue
			}
			found, held, told, width := 0.0, 0.0, 0.0, 0.0
			for range campaigns {
				p := random.Perm(len(names))
				var before, after []string
				for i := range n {
					before, after = append(before, names[p[i]]), append(after, names[p[n+i]])
				}
				some := called(rises, before, after)
				for i := range some {
					if some[i].Configuration == "after" {
						some[i].Mean += planted
					}
				}
				d := primaryOf(t, some, rules)
				if d.Verdict == compare.NotComparable {
					continue
				}
				told++
				width += d.Change.Interval.Width()
				if d.Verdict == compare.Cooler {
					found++
				}
				if d.Change.Interval.Contains(planted) {
					held++
				}
			}
			t.Logf("%s, %d+%d of %d drives: found %.1f %%, held %.1f %%, of %.0f campaigns; width %.1f K; not comparable %.1f %%", id, n, n, len(names), 100*found/told, 100*held/told, told, width/told, 100*(1-told/campaigns))
			// Campaigns of one car share its drives, which are what is counted.
			e := func(p float64) float64 { return 2.5 * math.Sqrt(p*(1-p)/float64(len(names))) }
			if n == 4 && found/told < 0.80-e(0.80) || held/told < 0.93-e(0.93) {
				t.Errorf("%s, %d+%d: the limits are 80 %% found at 4+4 and 93 %% held", id, n, n)
			}
		}
	}
}

// Drives of a real car on which nothing was changed, called before and after at
// random, in blocks, and by season: every "cooler" or "warmer" is false.
func TestPlacebo(t *testing.T) {
	rules := compare.DefaultRules()
	runs, rises := unchanged(t, rules)
	random := rand.New(rand.NewPCG(20261127, 15))
	halves := func(from []string, n int) (before, after []string) {
		p := random.Perm(len(from))
		for i := range n {
			before, after = append(before, from[p[i]]), append(after, from[p[n+i]])
		}
		return before, after
	}
	var names, summer, winter []string
	for _, r := range runs {
		names = append(names, r.Drive.Name)
		if m := r.Drive.Start.Month(); m >= time.May && m <= time.September {
			summer = append(summer, r.Drive.Name)
		} else if m <= time.March || m >= time.November {
			winter = append(winter, r.Drive.Name)
		}
	}
	t.Logf("%d in summer, %d in winter", len(summer), len(winter))
	for _, n := range []int{3, 4, 8} {
		for _, kind := range []string{"random halves", "blocks", "seasons"} {
			var c placebo
			for range 120 {
				before, after := halves(names, n)
				switch kind {
				case "blocks":
					from := random.IntN(len(names) - 2*n + 1)
					before, after = names[from:from+n], names[from+n:from+2*n]
				case "seasons":
					before, after = some(random, summer, n), some(random, winter, n)
				}
				c.count(t, rises, before, after, rules)
			}
			t.Logf("%-14s %d+%d: %v", kind, n, n, c)
			if kind == "random halves" && c.primary > 0.06*c.told+2.5*math.Sqrt(0.06*0.94*c.told) {
				t.Errorf("more than 6 %% of %g are false", c.told)
			}
		}
	}
}

// placebo counts what was said of an unchanged car.
type placebo struct{ told, primary, anywhere, fullThrottle, silent float64 }

func (c *placebo) count(t *testing.T, rises []compare.DriveRise, before, after []string, rules compare.Rules) {
	some := called(rises, before, after)
	differences, err := compare.Configurations(some, "before", "after", rules)
	if err != nil {
		t.Fatal(err)
	}
	c.told++
	any := false
	for _, d := range differences {
		wrong := d.Verdict == compare.Cooler || d.Verdict == compare.Warmer
		any = any || wrong
		if wrong && d.Primary {
			c.primary++
		}
		if wrong && d.AtFullThrottle {
			c.fullThrottle++
		}
		if d.Primary && d.Verdict == compare.NotComparable {
			c.silent++
		}
	}
	if any {
		c.anywhere++
	}
}

// called are the rises of the drives that are called before or after.
func called(rises []compare.DriveRise, before, after []string) []compare.DriveRise {
	var some []compare.DriveRise
	for _, r := range rises {
		switch {
		case slices.Contains(before, r.Drive):
			r.Configuration = "before"
		case slices.Contains(after, r.Drive):
			r.Configuration = "after"
		default:
			continue
		}
		some = append(some, r)
	}
	return some
}

// primaryAlone are the rules for the primary kind of driving, without the others.
func primaryAlone(rules compare.Rules) compare.Rules {
	rules.Strata = slices.DeleteFunc(slices.Clone(rules.Strata), func(s compare.Stratum) bool { return s.ID != rules.Primary })
	return rules
}

func primaryOf(t *testing.T, rises []compare.DriveRise, rules compare.Rules) compare.Difference {
	t.Helper()
	all, err := compare.Configurations(rises, "before", "after", primaryAlone(rules))
	if err != nil {
		t.Fatal(err)
	}
	return all[0]
}

func (c placebo) String() string {
	return fmt.Sprintf("false %.1f %%, in any kind %.1f %%, at full throttle %.1f %%; not comparable %.1f %%", 100*c.primary/c.told, 100*c.anywhere/c.told, 100*c.fullThrottle/c.told, 100*c.silent/c.told)
}

func some(random *rand.Rand, from []string, n int) (all []string) {
	for _, i := range random.Perm(len(from))[:min(n, len(from))] {
		all = append(all, from[i])
	}
	return all
}
