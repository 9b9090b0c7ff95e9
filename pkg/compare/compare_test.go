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
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// told makes rises of one stratum from means.
func told(before, after []float64) []DriveRise {
	var all []DriveRise
	for side, x := range [][]float64{before, after} {
		for i, v := range x {
			name := []string{"open", "duct"}[side]
			all = append(all, DriveRise{Drive: fmt.Sprintf("%s-%d", name, i+1), Configuration: name, ID: RoadMiddle, Stratum: "road",
				Mean: quantity.TemperatureDifference(v), Ambient: quantity.Celsius(20), Speed: 22, Time: 600, SinceOpening: 900})
		}
	}
	return all
}

// road is the one difference of rises that are told.
func road(t *testing.T, rises []DriveRise, rules Rules) Difference {
	t.Helper()
	all, err := Configurations(rises, "open", "duct", rules)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(all, func(d Difference) bool { return d.ID == RoadMiddle })
	if !all[i].Primary {
		t.Errorf("the only stratum that was driven is not the primary one")
	}
	return all[i]
}

// Four drives that agree to 0.1 K say less than they seem to: the scatter of a
// car's drives is not known from two.
func TestTwoDrivesASide(t *testing.T) {
	d := road(t, told([]float64{30, 30.1}, []float64{24, 24.1}), DefaultRules())
	if w := d.Change.Interval.Width(); w < 1 || w > 6 || d.Verdict != Cooler {
		t.Errorf("%v", d)
	}
	if s := d.String(); !strings.Contains(s, "2 + 2 drives") || !strings.Contains(s, "95 %") {
		t.Errorf("the sentence names no number or level: %s", s)
	}
}

func TestWords(t *testing.T) {
	rules := DefaultRules()
	for _, c := range []struct {
		name          string
		before, after []float64
		want          Verdict
	}{
		{"far apart", []float64{24, 25, 24.4}, []float64{6, 5.5, 6.2}, Cooler},
		{"the other way", []float64{6, 5.5, 6.2}, []float64{24, 25, 24.4}, Warmer},
		{"alike, eight each", []float64{16, 16.5, 15.8, 16.2, 16.1, 15.7, 16.6, 16.3}, []float64{16.1, 16.4, 15.9, 16.3, 16, 15.8, 16.5, 16.2}, WithinDelta},
		{"too wide for either", []float64{16, 22, 19}, []float64{17, 13, 21}, Undecided},
		{"one each", []float64{24}, []float64{6}, NotComparable},
		{"copies", []float64{24, 24}, []float64{6, 7}, NotComparable},
	} {
		if d := road(t, told(c.before, c.after), rules); d.Verdict != c.want {
			t.Errorf("%s: %v", c.name, d)
		}
	}
}

// Each flaw widens the interval or takes the word away.
func TestFlawsChangeTheAnswer(t *testing.T) {
	before, after := []float64{24, 25, 24.4}, []float64{19, 20, 19.2}
	fair := road(t, told(before, after), DefaultRules())
	if fair.Verdict != Cooler || len(fair.Flaws) > 0 {
		t.Fatalf("fair: %v %v", fair, fair.Flaws)
	}
	width := fair.Change.Interval.Width()
	spoil := func(f func(*DriveRise, int), rules Rules) Difference {
		rises := told(before, after)
		for i := range rises {
			f(&rises[i], i)
		}
		return road(t, rises, rules)
	}
	later := func(r *DriveRise, _ int) {}
	wider := map[string]Difference{
		"weather": spoil(func(r *DriveRise, i int) {
			if i > 2 {
				r.Ambient = quantity.Celsius(28)
			}
		}, DefaultRules()),
		"speed": spoil(func(r *DriveRise, i int) {
			if i > 2 {
				r.Speed = 26
			}
		}, DefaultRules()),
		"order": spoil(func(r *DriveRise, i int) { r.Start = time.Date(2026, 5, 1+i, 0, 0, 0, 0, time.UTC) }, DefaultRules()),
		"other probe": spoil(func(r *DriveRise, i int) {
			r.Shared = []estimate.Contribution{{Source: estimate.Source{Kind: estimate.Probe, ID: fmt.Sprint(i > 2)}, Effect: 1.4}}
		}, DefaultRules()),
	}
	refitted := DefaultRules()
	refitted.Refitted = true
	wider["refitted"] = spoil(later, refitted)
	for name, d := range wider {
		if w := d.Change.Interval.Width(); w < 1.05*width {
			t.Errorf("%s: width %.2f K, fair %.2f K", name, w, width)
		}
	}
	same := spoil(func(r *DriveRise, i int) {
		r.Shared = []estimate.Contribution{{Source: estimate.Source{Kind: estimate.Probe, ID: "one probe"}, Effect: 1.4}}
	}, DefaultRules())
	if w := same.Change.Interval.Width(); math.Abs(w-width) > 1e-6 {
		t.Errorf("one probe on both sides does not cancel: width %.3f, %.3f", w, width)
	}
	if same.Before.Rise.Interval.Width() < 2*1.4 {
		t.Errorf("but it belongs to the rise itself: %v", same.Before.Rise)
	}
	winter := spoil(func(r *DriveRise, i int) {
		if i > 2 {
			r.Ambient = quantity.Celsius(0)
		}
	}, DefaultRules())
	if winter.Verdict != NotComparable {
		t.Errorf("20 K of ambient apart: %v", winter)
	}
}

// Strata beside the primary one speak only where that shows a change.
func TestSecondaryStrataWait(t *testing.T) {
	rises := told([]float64{16, 22, 19}, []float64{17, 13, 21})
	for _, r := range told([]float64{24, 25, 24.4}, []float64{6, 5.5, 6.2}) {
		r.ID = RoadFast
		rises = append(rises, r)
	}
	rules := DefaultRules()
	for primary, want := range map[StratumID]Verdict{RoadMiddle: Undecided, RoadFast: Cooler} {
		rules.Primary = primary
		all, err := Configurations(rises, "open", "duct", rules)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range all {
			if d.ID == RoadFast && d.Verdict != want {
				t.Errorf("primary %s: %v", primary, d)
			}
		}
	}
}

// The budget's shares are those of the interval, and add up to it.
func TestBudget(t *testing.T) {
	rises := told([]float64{24, 25, 24.4}, []float64{19, 20, 19.2})
	rises[3].Ambient, rises[0].Speed = quantity.Celsius(29), 20
	d := road(t, rises, DefaultRules())
	sum := 0.0
	for _, c := range d.Change.Contributions {
		sum += c.Effect * c.Effect
		if strings.Contains(c.Source.ID, string(d.ID)) {
			t.Errorf("source %q names the stratum as a file does, not %q", c.Source.ID, d.Stratum)
		}
	}
	half := d.Change.Interval.Width() / 2 / 1.959964
	if len(d.Change.Contributions) < 4 || math.Abs(math.Sqrt(sum)-half) > 1e-3*half {
		t.Errorf("contributions %v; their root sum is %.3f, the interval says %.3f", d.Change.Contributions, math.Sqrt(sum), half)
	}
}

func TestOddDrive(t *testing.T) {
	d := road(t, told([]float64{24, 25, 24.4}, []float64{16, 25.5, 16.3}), DefaultRules())
	for _, w := range d.Influence {
		if w.Odd != (w.Drive == "duct-2") {
			t.Errorf("%+v", w)
		}
	}
	if len(d.Influence) != 6 || !estimate.Has(d.Flaws, Outlier) {
		t.Errorf("influence %v, flaws %v", d.Influence, d.Flaws)
	}
}

// What is odd about an odd drive is named: how far it lies from its side, and each
// condition in which it is unlike all others; where none is, that.
func TestWhatIsOdd(t *testing.T) {
	says := func(change func(r *DriveRise)) string {
		rises := told([]float64{24, 25, 24.4}, []float64{16, 25.5, 16.4})
		change(&rises[4])
		for _, f := range road(t, rises, DefaultRules()).Flaws {
			if f.Kind == Outlier {
				return f.Text
			}
		}
		return ""
	}
	for want, change := range map[string]func(r *DriveRise){
		`9.3 K above the mean of the others with "duct", and neither`: func(*DriveRise) {},
		"in other air (23 °C, they 20 to 20 °C)":                      func(r *DriveRise) { r.Ambient = quantity.Celsius(23) },
		"at another speed (101 km/h, they 79 to 79 km/h)":             func(r *DriveRise) { r.Speed = 28 },
		"for 30 s only (they at least 600 s)":                         func(r *DriveRise) { r.Time = 30 },
		"another time after the opening":                              func(r *DriveRise) { r.SinceOpening = 4000 },
		"stated, not measured":                                        func(r *DriveRise) { r.Own = 2.5 },
	} {
		if got := says(change); !strings.Contains(got, want) {
			t.Errorf("want %q: %s", want, got)
		}
	}
	alike := []DriveRise{{Ambient: quantity.Celsius(20), Own: 2.5}, {Ambient: quantity.Celsius(20)}}
	if got := conditions(alike[0], alike, quantity.Preferred{}); len(got) != 0 {
		t.Errorf("one of the others was stated, too: %q", got)
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
		if d.Verdict == Cooler || math.Abs(d.Change.Value-2) > 0.2 {
			t.Errorf("%v", d)
		}
	}
	if seen != 2 {
		t.Errorf("%d strata had drives, want 2", seen)
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

// A band is called by its limits in the reader's unit: 60 and 95 km/h are 37.3
// and 59.0 mph.
func TestStratumInOtherUnits(t *testing.T) {
	mph := quantity.Preferred{Speed: quantity.KindSpeed.Unit("mph")}
	var names []string
	for _, s := range DefaultStrata() {
		if s.In(quantity.Preferred{}) != s.Name {
			t.Errorf("%q became %q", s.Name, s.In(quantity.Preferred{}))
		}
		names = append(names, s.In(mph))
	}
	want := []string{"stopped", "stop-and-go", "road below 37 mph", "road 37 to 59 mph", "road above 59 mph", "full throttle"}
	if !slices.Equal(names, want) {
		t.Errorf("%q, want %q", names, want)
	}
	if own := (Stratum{Name: "the pass", From: 10, To: 20}); own.In(mph) != "the pass" {
		t.Error("a name of the user's was changed")
	}
}

// Short stretches on displays of 0.1 K have the same means by chance: among 100
// drives a side some pair always does. Only drives that agree in all are copies.
func TestManyDrivesAreNoCopies(t *testing.T) {
	random := rand.New(rand.NewPCG(71, 72))
	var rises []DriveRise
	for i := range 200 {
		r := told([]float64{20}, nil)[0]
		r.Drive, r.Configuration = fmt.Sprintf("drive %d", i+1), []string{"open", "duct"}[i%2]
		mean := func(centre float64) float64 { // four readings of 0.1 K
			return (math.Round(40*centre) + math.Round(10*random.NormFloat64())) / 40
		}
		r.Mean = quantity.TemperatureDifference(mean(20 - 5*float64(i%2)))
		r.Ambient = quantity.Celsius(mean(20))
		r.Speed, r.SinceOpening = quantity.Speed(26+random.NormFloat64()), 900+60*random.NormFloat64()
		rises = append(rises, r)
	}
	alike := 0
	for i, r := range rises {
		for _, q := range rises[:i] {
			if r.Configuration == q.Configuration && r.Mean == q.Mean && r.Ambient == q.Ambient {
				alike++
			}
		}
	}
	d := road(t, rises, DefaultRules())
	if d.Verdict != Cooler || alike == 0 {
		t.Errorf("%d pairs with the same rise and outside air: %v", alike, d)
	}
	again := rises[4]
	again.Drive = "again"
	d = road(t, append(rises, again), DefaultRules())
	if d.Verdict != NotComparable || !slices.ContainsFunc(d.Flaws, func(f estimate.Warning) bool {
		return f.Kind == Copies && strings.Contains(f.Text, `"drive 5" and "again"`)
	}) {
		t.Errorf("a copy of one drive: %v", d)
	}
}

// Drives that began together share a place: the answer does not hang on which of
// them comes first.
func TestPlacesOfDrivesTogether(t *testing.T) {
	rises := told([]float64{1, 2}, []float64{3, 4})
	day := time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC)
	for i := range rises {
		rises[i].Start = day.AddDate(0, 0, []int{0, 1, 1, 2}[i])
	}
	for range 20 {
		got := places(rises, "open", "duct")
		if got["open-1"] != -1.5 || got["open-2"] != 0 || got["duct-1"] != 0 || got["duct-2"] != 1.5 {
			t.Fatal(got)
		}
	}
}
