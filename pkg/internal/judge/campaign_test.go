package judge

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/road"
)

func mustMake(t *testing.T, p Plan) *Campaign {
	t.Helper()
	c, err := Make(p)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestSamePlanSameCampaign(t *testing.T) {
	p := Plan{Seed: 11, Before: 2, After: 2, ScatterK: 1.2, Order: Shuffled}
	print := func(c *Campaign) (s string) {
		for _, d := range c.Drives {
			a, b, track := c.Read(d)
			s += fmt.Sprint(d.Name, d.After, d.Start, d.Trace, a, b, track)
		}
		return s
	}
	once, again := print(mustMake(t, p)), print(mustMake(t, p))
	if once != again {
		t.Error("two campaigns of one plan differ")
	}
	q := p
	q.Seed++
	if print(mustMake(t, p)) == print(mustMake(t, q)) {
		t.Error("another seed made the same campaign")
	}
}

func TestOrders(t *testing.T) {
	for _, c := range []struct {
		plan Plan
		want string
	}{
		{Plan{Before: 4, After: 4, Order: InBlocks}, "AAAABBBB"},
		{Plan{Before: 4, After: 4, Order: Balanced}, "ABBAABBA"},
		{Plan{Before: 2, After: 4, Order: Balanced}, "ABBABB"},
	} {
		got := ""
		for _, b := range c.plan.sequence(nil) {
			got += map[bool]string{false: "A", true: "B"}[b]
		}
		if got != c.want {
			t.Errorf("%s with %d and %d: %s, want %s", c.plan.Order, c.plan.Before, c.plan.After, got, c.want)
		}
	}
	after := Plan{Before: 3, After: 5, Order: Shuffled}.sequence(rand.New(rand.NewPCG(1, 2)).Shuffle)
	if slices.Index(after, true) < 0 || len(after) != 8 {
		t.Error("random order lost drives")
	}
}

func TestBadPlansAreRefused(t *testing.T) {
	for _, p := range []Plan{
		{}, {Before: 1, ScatterK: 7}, {Before: 1, Variant: "steam"}, {Before: 1, Flaws: []Flaw{"rust"}},
		{Before: 1, Order: "BABA"}, {Before: 1, Road: "river"}, {Before: 1, StepS: -2}, {Before: 1, DayCorrelation: 1},
	} {
		if _, err := Make(p); err == nil {
			t.Errorf("no error for %+v", p)
		}
	}
}

// The plant is what the truth says, where the air does not meet the floor of
// the outside temperature.
func TestPlantedChangeIsTheTruth(t *testing.T) {
	for seed := uint64(1); seed <= 4; seed++ {
		ch := mustMake(t, Plan{Seed: seed, Before: 2, After: 2, Variant: "plain", ScatterK: 1, PlantedK: 2}).Change()
		for _, k := range []int{car.RoadMiddle, car.FullThrottleKind} {
			if math.Abs(ch.ReferenceK[k]-2) > 0.35 || math.Abs(ch.OnTheseDaysK[k]-2) > 0.5 {
				t.Errorf("seed %d, %s: planted 2 K, truth %.2f and %.2f K", seed, car.KindIDs[k], ch.ReferenceK[k], ch.OnTheseDaysK[k])
			}
		}
		same := mustMake(t, Plan{Seed: seed, Before: 1, After: 1, ScatterK: 1, Flaws: []Flaw{SameConfiguration}}).Change()
		if same.ReferenceK[car.RoadMiddle] != 0 || same.OnTheseDaysK[car.RoadMiddle] != 0 || same.PowerRatio != 1 {
			t.Errorf("seed %d: nothing changed, truth %+v", seed, same)
		}
	}
}

// Each flaw does what it is named for.
func TestFlaws(t *testing.T) {
	plan := func(f ...Flaw) Plan { return Plan{Seed: 21, Before: 3, After: 3, ScatterK: 1.2, Flaws: f} }
	meanAmbient := func(c *Campaign, after bool) float64 {
		sum, n := 0.0, 0.0
		for _, d := range c.Drives {
			if d.After == after {
				sum, n = sum+d.Run.Day.AmbientC, n+1
			}
		}
		return sum / n
	}
	plain := mustMake(t, plan())
	if d := meanAmbient(mustMake(t, plan(WarmerBy8)), true) - meanAmbient(plain, true); math.Abs(d-8) > 1e-9 {
		t.Errorf("warmer by %.2f K, want 8", d)
	}
	for _, d := range mustMake(t, plan(WarmStart)).Drives {
		if d.After && !(d.Trace.CoolantC[0] >= 55) || !d.After && d.Trace.CoolantC[0] > 40 {
			t.Errorf("drive %s starts at %.0f °C", d.Name, d.Trace.CoolantC[0])
		}
	}
	refit := mustMake(t, plan(Refit))
	if k := math.Abs(refit.RefitK); k < 0.8 || k > 2.5 {
		t.Errorf("refit by %.2f K", k)
	}
	before, after := refit.ProbesOf(refit.Drives[0]), refit.ProbesOf(refit.Drives[5])
	if d := after[0].RefitK - before[0].RefitK; d != refit.RefitK {
		t.Errorf("the intake probe moved by %.2f K, want %.2f", d, refit.RefitK)
	}
	other := mustMake(t, plan(OtherRoute))
	if other.Drives[0].Run.Route.Name == other.Drives[5].Run.Route.Name {
		t.Error("other route is the same")
	}
	if a, b := other.Drives[0].Run.Route, other.Drives[5].Run.Route; a.LatDeg != b.LatDeg || a.HeightM[0] != b.HeightM[0] {
		t.Error("the other route begins elsewhere")
	}
	if c := mustMake(t, plan(Outlier)); c.Odd < 0 {
		t.Error("no outlier")
	}
	if c := mustMake(t, plan(Drift)); math.Abs(c.DriftK) < 1 {
		t.Error("no drift")
	}
}

// Between 0 and 6 % the truth about load is ordered as physics has it: steeper
// is hotter after five minutes, and never below the air outside.
func TestLoadGrowsWithTheGrade(t *testing.T) {
	c := mustMake(t, Plan{Seed: 3, Before: 1, After: 1, ScatterK: 1.2})
	for side := range 2 {
		l := c.Load(side, 20)
		for i, p := range l.Pulls {
			if p.RiseK[0] < 0 || p.RiseK[2] < p.RiseK[0] || i > 0 && l.Climbs[i].RiseK < l.Climbs[i-1].RiseK-0.2 {
				t.Errorf("side %d, grade %.0f %%: %+v, climb %+v", side, 100*p.GradeMPM, p, l.Climbs[i])
			}
		}
	}
}

// Parts add up to the rise, none is below zero on the road but for the
// engine's own feedback, and the radiator's is nothing before the valve opens.
func TestPartsAddUp(t *testing.T) {
	for seed := uint64(1); seed <= 5; seed++ {
		c := mustMake(t, Plan{Seed: seed, Before: 1, After: 0, ScatterK: 1.2})
		d := c.Drives[0]
		parts, rise := c.Parts(d), car.Means(d.Trace)
		for _, k := range []int{car.RoadMiddle, car.RoadFast} {
			sum := 0.0
			for name, p := range parts {
				sum += p[k]
				if name != "rest" && p[k] < -0.3 {
					t.Errorf("seed %d: %s adds %.2f K at %s", seed, name, p[k], car.KindIDs[k])
				}
			}
			if math.Abs(sum-rise[k]) > 1e-9 || math.Abs(parts["rest"][k]) > 6 {
				t.Errorf("seed %d, %s: parts %.2f K, rise %.2f K, rest %.2f K", seed, car.KindIDs[k], sum, rise[k], parts["rest"][k])
			}
		}
		if p := parts["radiator"][car.RoadMiddle]; p < 0.1 {
			t.Errorf("seed %d: the radiator adds %.2f K", seed, p)
		}
	}
}

// What the instruments show is what they are said to do.
func TestInstruments(t *testing.T) {
	c := mustMake(t, Plan{Seed: 5, Before: 1, After: 1, ScatterK: 1, StepS: 10})
	d := c.Drives[0]
	a, b, track := c.Read(d)
	if len(a.Channels) != 4 || len(b.Channels) != 3 || len(a.Stamps) < 100 || len(track) < 800 {
		t.Fatalf("%d and %d channels, %d rows, %d fixes", len(a.Channels), len(b.Channels), len(a.Stamps), len(track))
	}
	if s := a.Stamps[1].Sub(a.Stamps[0]).Seconds(); s != 10 {
		t.Errorf("step %g s", s)
	}
	if off := c.Loggers[0].Clock.ErrorS(d.Start); math.Abs(off) > 902 || math.Abs(a.Stamps[0].Sub(d.Start.Add(c.Loggers[0].Clock.Zone)).Seconds()-a.TrueS[0]-off) > 1e-3 {
		t.Errorf("clock off by %g s", off)
	}
	// A class 2 thermocouple in a box whose junction is warm: within 5 K.
	for i, s := range b.TrueS {
		if x := b.Channels[2].Values[i]; c.Rig.Mounting == instrument.InStream && math.Abs(x-d.Trace.CoolantC[int(s)]) > 8 {
			t.Errorf("coolant reads %.1f °C, is %.1f °C at %.0f s", x, d.Trace.CoolantC[int(s)], s)
			break
		}
	}
	worst := 0.0
	for _, f := range track {
		worst = max(worst, math.Abs(f.HeightM-d.Trace.HeightM[int(f.TrueS)]))
	}
	if worst == 0 || worst > 60 {
		t.Errorf("height off by at most %.1f m", worst)
	}
}

// Of each variant most valves open in half an hour from cold, and a hop stays
// shut.
func TestVariantsOpenAndHopsDoNot(t *testing.T) {
	for _, v := range car.Variants() {
		opened, hops := 0, 0
		for seed := range uint64(4) {
			c := mustMake(t, Plan{Seed: 100 + seed, Before: 1, After: 1, Variant: v.Name, ScatterK: 1.2, Hop: true})
			for i, d := range c.Drives {
				if i < 2 && d.Trace.Outcome == car.Opened {
					opened++
				}
				if i == 2 && d.Trace.Outcome == car.NotReached {
					hops++
				}
			}
		}
		if opened < 6 || hops < 3 {
			t.Errorf("%s: %d of 8 opened, %d of 4 hops stayed shut", v.Name, opened, hops)
		}
	}
	c := mustMake(t, Plan{Seed: 1, Before: 1, After: 1, Variant: "stuck open", Road: road.Country, ScatterK: 1.2})
	for _, d := range c.Drives {
		if d.Trace.Outcome != car.StuckOpen || d.Trace.MaxCoolantC > d.Run.Car.StampC+3 {
			t.Errorf("stuck open: %v, %.0f °C", d.Trace.Outcome, d.Trace.MaxCoolantC)
		}
	}
}
