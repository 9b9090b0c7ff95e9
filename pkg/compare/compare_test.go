package compare

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

func between(t *testing.T, before, after []float64, level float64) Difference {
	t.Helper()
	d, err := difference(before, after, level, "before", "after")
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// R data set sleep (Student 1908), extra hours of sleep, groups 1 and 2:
// t.test(extra ~ group) gives t = -1.8608, df = 17.776, p = 0.07939,
// 95 percent interval -3.3654832 to 0.2054832 for group 1 minus group 2.
func TestWelchSleep(t *testing.T) {
	g1 := []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2}
	g2 := []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
	d := between(t, g2, g1, 0.95) // after minus before = group 1 minus group 2
	for _, c := range []struct {
		what           string
		got, want, tol float64
	}{
		{"lower end", d.Change.Interval.Low, -3.3654832, 5e-7},
		{"upper end", d.Change.Interval.High, 0.2054832, 5e-7},
		{"degrees of freedom", d.Change.DegreesOfFreedom, 17.776, 5e-4},
		{"p value", d.PValue, 0.07939, 5e-6},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s: %v, R prints %v", c.what, c.got, c.want)
		}
	}
	if d.Verdict != NotShown {
		t.Errorf("verdict %v", d.Verdict)
	}
}

// Under no difference the 95 % interval must miss zero in about 5 % of
// comparisons of three drives with three (Welch's test is slightly
// conservative for so few).
func TestIntervalCoverage(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	miss := 0
	const n = 4000
	for range n {
		var a, b []float64
		for range 3 {
			a = append(a, 20+2*random.NormFloat64())
			b = append(b, 20+2*random.NormFloat64())
		}
		if !between(t, a, b, 0.95).Change.Interval.Contains(0) {
			miss++
		}
	}
	if p := float64(miss) / n; p > 0.055 || p < 0.02 {
		t.Errorf("interval misses zero in %.1f %% of comparisons", 100*p)
	}
}

// fakeRun has a rise of `low` while slow and `fast` while fast, and spends
// unequal times in both.
func fakeRun(t *testing.T, name, config string, low, fast, ambient float64, slowShare int) Run {
	t.Helper()
	var ts, in, amb []float64
	for i := range 600 {
		ts = append(ts, float64(2*i))
		amb = append(amb, ambient)
		rise := fast
		if 2*i < slowShare {
			rise = low
		}
		in = append(in, ambient+rise)
	}
	d := &drive.Drive{Name: name, Configuration: config, Start: time.Unix(0, 0), Channels: map[drive.Role]*drive.Channel{}}
	for r, v := range map[drive.Role][]float64{drive.Intake: in, drive.Ambient: amb} {
		s, err := series.New(string(r), series.Temperature, d.Start, ts, v)
		if err != nil {
			t.Fatal(err)
		}
		d.Channels[r] = &drive.Channel{Role: r, Series: s}
	}
	seg := func(k segment.Kind, from, to, kmh float64) segment.Segment {
		return segment.Segment{Kind: k, Interval: series.Interval{From: from, To: to}, MeanSpeed: quantity.Speed(kmh / 3.6), Settled: true, TimeSinceOpening: 900}
	}
	return Run{d, []segment.Segment{seg(segment.StopAndGo, 0, float64(slowShare), 15), seg(segment.Steady, float64(slowShare), 1200, 75)}}
}

// Simpson's paradox: the duct is worse in both strata, yet its overall mean
// is lower because it was driven fast. Strata must not be fooled.
func TestStrataResistSimpson(t *testing.T) {
	runs := []Run{
		fakeRun(t, "a1", "open", 40, 10, 290, 900), fakeRun(t, "a2", "open", 40.2, 10.1, 295, 900),
		fakeRun(t, "b1", "duct", 42, 12, 292, 200), fakeRun(t, "b2", "duct", 42.1, 12.2, 293, 200),
	}
	rules := DefaultRules()
	rises, err := Rises(runs, rules)
	if err != nil {
		t.Fatal(err)
	}
	diffs, err := Configurations(rises, "open", "duct", rules)
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, d := range diffs {
		if d.Before.Drives == 0 {
			continue
		}
		seen++
		if d.Verdict != Warmer || math.Abs(d.Change.Value-2) > 0.2 {
			t.Errorf("%v", d)
		}
	}
	if seen != 2 {
		t.Errorf("%d strata had drives, want 2", seen)
	}
}

func TestOneDriveHasNoInterval(t *testing.T) {
	d := between(t, []float64{20}, []float64{10}, 0.95)
	if d.Verdict != TooFewDrives || !math.IsInf(d.Change.Interval.High, 1) {
		t.Errorf("one drive a side: %v", d)
	}
}

func TestOrder(t *testing.T) {
	at := func(day int, c string) *drive.Drive {
		return &drive.Drive{Configuration: c, Start: time.Date(2026, 6, day, 0, 0, 0, 0, time.UTC)}
	}
	if Order([]*drive.Drive{at(1, "a"), at(2, "a"), at(3, "b")}, "a", "b") == "" {
		t.Error("A-A-B passed without a word")
	}
	if s := Order([]*drive.Drive{at(1, "a"), at(4, "a"), at(3, "b")}, "a", "b"); s != "" {
		t.Error("A-B-A:", s)
	}
}

// Names are for showing: renamed strata give the same numbers, the same worth
// and the same cautions, whatever words the new names hold.
func TestRenamedStrataChangeNothing(t *testing.T) {
	full := func(name, config string, rise float64) Run {
		r := fakeRun(t, name, config, rise, rise+5, 290, 600)
		r.Segments[0].Kind, r.Segments[0].MeanSpeed = segment.FullThrottle, quantity.Speed(20)
		return r
	}
	runs := []Run{full("a1", "open", 30), full("a2", "open", 31), full("b1", "duct", 10), full("b2", "duct", 11.5)}
	renamed := DefaultRules()
	for i := range renamed.Strata {
		s := &renamed.Strata[i]
		if s.Name = "full throttle"; s.ID == FullThrottle {
			s.Name = "Vollgas"
		}
	}
	outside, err := air.NewState(1e5, quantity.Celsius(20), 0.5)
	if err != nil {
		t.Fatal(err)
	}
	cautions := func(rules Rules) (all []string) {
		rises, err := Rises(runs, rules)
		if err != nil {
			t.Fatal(err)
		}
		diffs, err := Configurations(rises, "open", "duct", rules)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range diffs {
			if d.Before.Drives == 0 {
				continue
			}
			w, err := PowerOf(d, outside)
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, fmt.Sprintf("%s %v %.3f %v %v", d.ID, d.AtFullThrottle, d.Change.Value, d.Verdict, w.Cautions))
		}
		return all
	}
	want, got := cautions(DefaultRules()), cautions(renamed)
	if len(want) != 2 || !slices.Equal(want, got) {
		t.Errorf("renaming changed\n%q to\n%q", want, got)
	}
	if strings.Contains(want[1], "part throttle") || !strings.Contains(want[0], "part throttle") {
		t.Errorf("the caution belongs to the road alone: %q", want)
	}
}

func TestStrataNeedIdentities(t *testing.T) {
	rules := DefaultRules()
	rules.Strata = append(rules.Strata, Stratum{Name: "mine", Kinds: []segment.Kind{segment.Steady}}, Stratum{Name: "mine", Kinds: []segment.Kind{segment.OpenRoad}})
	if _, err := Rises(nil, rules); err == nil || !strings.Contains(err.Error(), `"mine"`) {
		t.Errorf("two strata of one identity: %v", err)
	}
}

func TestBeforeIsAfter(t *testing.T) {
	rises := []DriveRise{{Configuration: "open"}, {Configuration: "duct"}}
	if _, err := Configurations(rises, "open", "open", DefaultRules()); err == nil || err.Error() != `compare: before and after are both "open", and a configuration can't be compared with itself; the drives have: open, duct` {
		t.Errorf("error %v", err)
	}
}

// A drive without an ambient channel has no rise: the others go on, and the
// error names it.
func TestRisesGoOnWithoutOne(t *testing.T) {
	bare := fakeRun(t, "bare", "open", 30, 20, 290, 600)
	delete(bare.Drive.Channels, drive.Ambient)
	rises, err := Rises([]Run{bare, fakeRun(t, "whole", "open", 30, 20, 290, 600)}, DefaultRules())
	var out *drive.LeftOutError
	if !errors.As(err, &out) || !out.Partial() || len(out.LeftOut) != 1 || out.LeftOut[0].Drive != "bare" || out.LeftOut[0].Step != drive.Comparing {
		t.Errorf("error %v", err)
	}
	if len(rises) != len(DefaultStrata()) || rises[0].Drive != "whole" {
		t.Errorf("rises %v", rises)
	}
}

func TestUnknownConfigurationNamesTheKnown(t *testing.T) {
	_, err := Configurations([]DriveRise{{Configuration: "open filters"}}, "open filter", "duct", DefaultRules())
	if err == nil || err.Error() != `compare: no drive has the configuration "open filter"; there are: open filters` {
		t.Errorf("error %v", err)
	}
}
