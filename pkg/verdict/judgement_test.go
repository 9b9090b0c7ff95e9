package verdict

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// driven is one invented drive: the rise on the middle road, the outside air,
// and what is wrong with it.
type driven struct {
	after   bool
	rise    float64 // K
	ambient float64 // °C
	start   float64 // of the top tank, K above the outside air
	swapped bool    // intake and ambient in each other's sockets
	heated  float64 // the outside air's probe at the last eighth of the drive, K above it
	undated bool
	speed   float64 // km/h, 0: 80
}

// fair is three drives a side in mixed order whose intake is 10 K cooler after.
func fair() []driven {
	return []driven{
		{rise: 20, ambient: 18}, {after: true, rise: 10, ambient: 19}, {after: true, rise: 10.6, ambient: 21},
		{rise: 20.5, ambient: 21}, {rise: 19.6, ambient: 17.5}, {after: true, rise: 9.7, ambient: 18.5},
	}
}

// answer is that of the drives, one a day.
func answer(t *testing.T, drives []driven, settings campaign.Question) *Answer {
	t.Helper()
	settings.PrimaryDeclared, settings.Primary = true, string(compare.RoadMiddle)
	a := &Answer{Before: "open", After: "duct", Rules: Rules(settings)}
	for i, x := range drives {
		d := &drive.Drive{Name: fmt.Sprintf("drive %d", i+1), Configuration: a.Before, Channels: map[drive.Role]*drive.Channel{}}
		if x.after {
			d.Configuration = a.After
		}
		if !x.undated {
			d.Start = time.Date(2026, 5, 2+i, 9, 0, 0, 0, time.UTC)
		}
		outside, intake := x.ambient, x.ambient+x.rise
		if x.swapped {
			outside, intake = intake, outside
		}
		d.Channels[drive.Ambient] = flat(t, drive.Ambient, d.Start, outside, outside)
		d.Channels[drive.Intake] = flat(t, drive.Intake, d.Start, intake, intake)
		for v, k := d.Channels[drive.Ambient].Series.Value, 175; x.heated > 0 && k < len(v); k++ {
			v[k] += x.heated
		}
		d.Channels[drive.TopTank] = flat(t, drive.TopTank, d.Start, x.ambient+x.start, 85)
		a.Runs = append(a.Runs, Run{Drive: d, Opening: thermostat.Result{Outcome: thermostat.Opened}})
		if x.speed == 0 {
			x.speed = 80
		}
		a.Rises = append(a.Rises, compare.DriveRise{Drive: d.Name, Configuration: d.Configuration, Stratum: "road 60 to 95 km/h", ID: compare.RoadMiddle,
			Start: d.Start, Mean: quantity.KelvinDifference(x.rise), Ambient: quantity.Celsius(x.ambient), Speed: quantity.Speed(x.speed / 3.6), SinceOpening: 900})
	}
	sides := map[string]bool{}
	for _, r := range a.Rises {
		sides[r.Configuration] = true
	}
	if len(sides) == 2 {
		rules := a.Rules
		rules.Strata = slices.DeleteFunc(rules.Strata, func(s compare.Stratum) bool { return s.ID != compare.RoadMiddle })
		var err error
		if a.Differences, err = compare.Configurations(a.Rises, a.Before, a.After, rules); err != nil {
			t.Fatal(err)
		}
	}
	a.Order = compare.OrderOf(a.drives(), a.Before, a.After)
	return a
}

// flat is a channel that goes from one temperature to another in 300 s.
func flat(t *testing.T, role drive.Role, start time.Time, from, to float64) *drive.Channel {
	t.Helper()
	var at, v []float64
	for k := range 200 {
		at = append(at, float64(5*k))
		v = append(v, quantity.Celsius(from+(to-from)*math.Min(1, math.Max(0, float64(5*k)-200)/300)).Kelvin())
	}
	s, err := series.New(string(role), series.Temperature, start, at, v)
	if err != nil {
		t.Fatal(err)
	}
	return &drive.Channel{Role: role, Series: s}
}

// Each planted flaw blocks the word or widens the interval, which changes the
// word where the effect is small, and names its kind; a fair campaign keeps it.
// The effects are planted, so the words are known.
func TestFlawsChangeTheWord(t *testing.T) {
	change := func(f func(d []driven)) []driven {
		d := fair()
		f(d)
		return d
	}
	small := func() []driven { // 1.5 K cooler after, with little scatter
		d := fair()
		for i := range d {
			d[i].rise = 20 + 0.1*float64(i%2)
			if d[i].after {
				d[i].rise -= 1.5
			}
		}
		return d
	}
	undisturbed, err := answer(t, fair(), campaign.Question{}).Judge(campaign.InPlace).Stratum(compare.RoadMiddle)
	if err != nil {
		t.Fatal(err)
	}
	plain := undisturbed.Change.Interval.Width()
	alike := []float64{0, 0.2, 0, 0.3, 0.1, 0.25} // three before, three after
	for _, c := range []struct {
		what     string
		drives   []driven
		settings campaign.Question
		word     Word
		kind     FlawKind // "" for none but uncalibrated probes
	}{
		{"fair", fair(), campaign.Question{}, SaysCooler, ""},
		{"warmer", change(func(d []driven) {
			for i := range d {
				d[i].after = !d[i].after
			}
		}), campaign.Question{}, SaysWarmer, ""},
		{"small", small(), campaign.Question{}, SaysCooler, ""},
		{"refitted", small(), campaign.Question{Mounting: campaign.Refitted}, SaysUndecided, FlawMounting},
		{"exchanged", small(), campaign.Question{Mounting: campaign.Exchanged}, SaysUndecided, FlawMounting},
		{"exchanged, large", fair(), campaign.Question{Mounting: campaign.Exchanged}, SaysCooler, FlawMounting},
		{"no difference", change(func(d []driven) {
			for i := range d {
				d[i].rise = 20 + alike[i]
			}
		}), campaign.Question{}, SaysWithin, ""},
		{"no difference, narrower", change(func(d []driven) {
			for i := range d {
				d[i].rise = 20 + 5*alike[i]
			}
		}), campaign.Question{Delta: 1}, SaysUndecided, ""},
		{"8 K warmer after", change(func(d []driven) {
			for i := range d {
				if d[i].after {
					d[i].ambient += 8
				}
			}
		}), campaign.Question{}, SaysCooler, FlawWeather},
		{"one hot day after", change(func(d []driven) { d[1].ambient = 27 }), campaign.Question{}, SaysCooler, FlawWeather},
		{"order", change(func(d []driven) {
			slices.SortStableFunc(d, func(a, b driven) int {
				if a.after == b.after {
					return 0
				} else if b.after {
					return -1
				}
				return 1
			})
		}), campaign.Question{}, SaysCooler, FlawOrder},
		{"no dates", change(func(d []driven) {
			for i := range d {
				d[i].undated = true
			}
		}), campaign.Question{}, SaysCooler, FlawOrder},
		{"warm starts after", change(func(d []driven) {
			for i := range d {
				if d[i].after {
					d[i].start = 40
				}
			}
		}), campaign.Question{}, SaysNothing, FlawWarmStart},
		{"warm starts on both sides", change(func(d []driven) {
			for i := range d {
				d[i].start = 40
			}
		}), campaign.Question{}, SaysCooler, ""},
		{"swapped", change(func(d []driven) { d[2].swapped = true }), campaign.Question{}, SaysNothing, FlawRoles},
		{"a stop in hot air", change(func(d []driven) { d[2].heated = 20 }), campaign.Question{}, SaysCooler, FlawProbe},
		{"another road", change(func(d []driven) {
			for i := range d {
				if d[i].after {
					d[i].speed = 64
				}
			}
		}), campaign.Question{}, SaysCooler, FlawRoute},
		{"one a side", fair()[:2], campaign.Question{}, SaysNothing, FlawFewDrives},
		{"one against three", slices.Concat(fair()[:2], fair()[3:5]), campaign.Question{}, SaysUndecided, FlawFewDrives},
		{"one against three, 20 K apart", slices.Concat(fair()[:1], []driven{{after: true, rise: 0.4, ambient: 19}}, fair()[3:5]), campaign.Question{}, SaysCooler, FlawFewDrives},
		{"two that agree a side", []driven{{rise: 30, ambient: 18}, {after: true, rise: 24, ambient: 18}, {after: true, rise: 24.1, ambient: 18}, {rise: 30.1, ambient: 18}}, campaign.Question{}, SaysCooler, FlawFewDrives},
		{"one side only", []driven{fair()[0], fair()[3]}, campaign.Question{}, SaysNothing, FlawFewDrives},
		{"outlier", change(func(d []driven) { d[0].rise = 40 }), campaign.Question{}, SaysCooler, FlawOutlier},
	} {
		j := answer(t, c.drives, c.settings).Judge(c.settings.Mounting)
		s, err := j.Stratum(compare.RoadMiddle)
		if err != nil {
			t.Fatal(err)
		}
		var kinds []FlawKind
		for _, f := range j.Flaws {
			if f.Kind != FlawUncalibrated && !slices.Contains(kinds, f.Kind) {
				kinds = append(kinds, f.Kind)
			}
		}
		if s.Word != c.word || c.kind == "" && len(kinds) > 0 || c.kind != "" && !slices.Contains(kinds, c.kind) {
			t.Errorf("%s: %q with flaws %q, want %q and %q; change %v", c.what, s.Word, kinds, c.word, c.kind, s.Change.Interval)
		}
		if v := s.Change.Interval; c.kind != "" && s.Word == SaysCooler && c.what != "no dates" && c.kind != FlawProbe && !(v.Width() > plain) {
			t.Errorf("%s: the interval is %.2f K wide, no wider than without the flaw, %.2f K", c.what, v.Width(), plain)
		}
		said := j.Sentence()
		want := map[Word]string{SaysCooler: " cooler ", SaysWarmer: " warmer ", SaysWithin: "no more than", SaysUndecided: "undecided", SaysNothing: "can't be compared"}[s.Word]
		for _, other := range []string{" cooler with", " warmer with", "no more than", "undecided", "can't be compared"} {
			if strings.Contains(said, other) != strings.HasPrefix(other, strings.TrimRight(want, " ")) {
				t.Errorf("%s: the sentence says %q: %s", c.what, other, said)
			}
		}
		if s.Word != SaysNothing && !strings.Contains(said, fmt.Sprintf("%d + %d drives", s.DrivesBefore, s.DrivesAfter)) {
			t.Errorf("%s: the sentence has no number of drives: %s", c.what, said)
		}
	}
}

// Leaving out a drive by hand, by means: with rises 20, 20.5, 19.6 and 10, 10.6,
// 9.7 the change is −9.9333 K, without the first −9.95 K, without the second
// −9.8833 K. A median under priors, which may see drift in part of the scatter,
// lies within 0.15 K of that.
func TestInfluence(t *testing.T) {
	j := answer(t, fair(), campaign.Question{}).Judge(campaign.InPlace)
	got := map[string]float64{}
	for _, i := range j.Influence {
		got[i.Drive] = i.Delta
		if i.Odd {
			t.Errorf("%s is odd", i.Drive)
		}
	}
	for name, want := range map[string]float64{"drive 1": (10+10.6+9.7)/3 - (20.5+19.6)/2, "drive 2": (10.6+9.7)/2 - (20+20.5+19.6)/3} {
		if math.Abs(got[name]-want) > 0.15 || len(got) != 6 {
			t.Errorf("without %s: %v, want %v", name, got[name], want)
		}
	}
	odd := fair()
	odd[3].rise = 29
	for _, i := range answer(t, odd, campaign.Question{}).Judge(campaign.InPlace).Influence {
		if i.Odd != (i.Drive == "drive 4") {
			t.Errorf("%s: odd %v", i.Drive, i.Odd)
		}
	}
}

// An intake far above 100 °C at rest is heat soak, while the car moves it is a
// probe on metal; a drive without speed is looked at all the same.
func TestLookAtHeatSoak(t *testing.T) {
	a := answer(t, fair(), campaign.Question{})
	d := a.Runs[0].Drive
	for i := range 20 {
		d.Channels[drive.Intake].Series.Value[180+i] = quantity.Celsius(142).Kelvin()
	}
	look := func() string {
		l := LookAt(d, segment.DefaultRules())
		for _, c := range l.Checks {
			if c.Kind == HeatSoak {
				return c.Text
			}
		}
		return ""
	}
	if s := look(); !strings.Contains(s, "142.0 °C") || !strings.Contains(s, "after switching off") {
		t.Errorf("at rest: %q", s)
	}
	v := make([]float64, 200)
	for i := range v {
		v[i] = 20
	}
	s, err := series.New("speed", series.Speed, d.Start, d.Channels[drive.Intake].Series.Time, v)
	if err != nil {
		t.Fatal(err)
	}
	d.Channels[drive.Speed] = &drive.Channel{Role: drive.Speed, Series: s}
	if s := look(); !strings.Contains(s, "while the car moves") {
		t.Errorf("moving: %q", s)
	}
}

// A kind of driving that is blocked beside the one that counts says why, where the
// answer's flaws and its power are told, and blocks that kind alone.
func TestBlockedBesideTellsWhy(t *testing.T) {
	a := answer(t, fair(), campaign.Question{})
	var rises []compare.DriveRise
	for _, r := range a.Rises {
		full := r
		full.ID, full.Stratum = compare.FullThrottle, "full throttle"
		if r.Drive == "drive 4" { // the same readings as the first drive
			full = rises[1]
			full.Drive = r.Drive
		}
		rises = append(rises, r, full)
	}
	a.Rises = rises
	var err error
	a.Rules = Rules(campaign.Question{PrimaryDeclared: true, Primary: string(compare.RoadMiddle)})
	if a.Differences, err = compare.Configurations(rises, a.Before, a.After, a.Rules); err != nil {
		t.Fatal(err)
	}
	a.Power = WorthAtFullThrottle(a.Differences, a.drives(), quantity.Celsius(20))
	j := a.Judge(campaign.InPlace)
	const why = `drives "drive 1" and "drive 4" agree`
	told := false
	for _, f := range j.Flaws {
		told = told || strings.Contains(f.Text, why) && strings.HasPrefix(f.Text, "full throttle") && !f.Blocks
	}
	if !told {
		t.Errorf("the flaws do not say why full throttle is blocked: %v", j.Flaws)
	}
	if text := j.Power.String(); !strings.Contains(text, why) || strings.Count(text, "full throttle") != 1 {
		t.Errorf("the power does not say it, or twice: %s", text)
	}
	if s, err := j.Stratum(compare.RoadMiddle); err != nil || s.Word != SaysCooler {
		t.Errorf("the kind of driving that counts: %v, error %v", s.Word, err)
	}
}
