package drive_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	. "github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// simulated returns one drive of the demo's car on a day of its own: probes
// that lag and are off by a class 1 tolerance's standard uncertainty, and a
// phone. heat is the share of the bay's excess that reaches the ambient probe
// at rest.
func simulated(t *testing.T, seed uint64, heat float64, swap [2]Role) *Drive {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 7))
	in := simulate.OpenFilters()
	if seed%2 == 1 {
		in = simulate.ColdAirDuct()
	}
	h := simulate.Run(simulate.DemoCar(), in, simulate.Drive(simulate.ValleyRoad(), 1, random),
		simulate.Conditions{Ambient: 273.15 - 5 + 35*random.Float64(), Drift: 3*random.Float64() - 1.5})
	nose := make([]float64, h.Len())
	for i := range nose {
		nose[i] = h.Ambient[i] + heat*(h.Bay[i]-h.Ambient[i])*math.Exp(-h.Speed[i]/4)
	}
	l := simulate.Logger{Period: 2, Resolution: 0.1, Noise: 0.07}
	for range 4 {
		l.Offsets = append(l.Offsets, 0.4*random.NormFloat64())
	}
	air := simulate.Probe{Lag: 5, LagMoving: 2.5}
	rows := l.Rows(start, [][]float64{
		air.Read(nose, h.Metal, h.Speed), air.Read(h.Intake, h.Metal, h.Speed),
		air.Read(h.Bay, h.Metal, h.Speed), simulate.Probe{Lag: 9}.Read(h.TopTank, h.Metal, h.Speed),
	}, random)
	part := Part{Device: "logger", File: "a.csv", Reference: true}
	for c, role := range []Role{Ambient, Intake, EngineBay, TopTank} {
		switch role {
		case swap[0]:
			role = swap[1]
		case swap[1]:
			role = swap[0]
		}
		var x, v []float64
		for _, r := range rows {
			x, v = append(x, r.Clock.Sub(start).Seconds()), append(v, r.Values[c])
		}
		part.Inputs = append(part.Inputs, Input{Role: role, Column: string(rune('1' + c)), Series: timed(t, role, series.Temperature, start, x, v)})
	}
	var x, v []float64
	for _, f := range (simulate.Phone{Lag: 1.2, SpeedNoise: 0.12, Dropout: 0.004}).Fixes(start, h, random) {
		x, v = append(x, f.Time.Sub(start).Seconds()), append(v, f.Speed)
	}
	phone := Part{Device: "phone", File: "p.csv", Reference: true, Inputs: []Input{{Role: Speed, Column: "speed", Series: timed(t, Speed, series.Speed, start, x, v)}}}
	return assemble(t, part, phone)
}

func timed(t *testing.T, r Role, d series.Dimension, at time.Time, x, v []float64) *series.Series {
	t.Helper()
	s, err := series.New(string(r), d, at, x, v)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The checks are wanted where something is wrong, and only there: how often
// each speaks is counted over simulated drives whose truth is known.
func TestCheckRates(t *testing.T) {
	const drives = 60
	for _, c := range []struct {
		name        string
		heat        float64
		swap        [2]Role
		want        []Suspicion // any of them
		least, most int
	}{
		{name: "clean", most: drives / 20},
		{name: "ambient heated at stops", heat: 0.35, want: []Suspicion{AmbientHeated}, least: drives * 9 / 10},
		{name: "ambient and intake", swap: [2]Role{Ambient, Intake}, want: []Suspicion{IntakeBelowAmbient}, least: drives * 9 / 10},
		{name: "ambient and bay", swap: [2]Role{Ambient, EngineBay}, want: []Suspicion{IntakeBelowAmbient, ChannelsSwapped}, least: drives},
		{name: "ambient and top tank", swap: [2]Role{Ambient, TopTank}, want: []Suspicion{IntakeBelowAmbient, ChannelsSwapped}, least: drives},
		{name: "bay and top tank", swap: [2]Role{EngineBay, TopTank}, want: []Suspicion{ChannelsSwapped}, least: drives * 9 / 10},
		{name: "intake and top tank", swap: [2]Role{Intake, TopTank}, want: []Suspicion{ChannelsSwapped}, least: drives * 9 / 10},
	} {
		found, sample := 0, ""
		count := map[Suspicion]int{}
		for seed := range uint64(drives) {
			hit := false
			for _, x := range simulated(t, seed, c.heat, c.swap).Checks() {
				count[x.Suspicion]++
				sample = x.Message
				for _, w := range c.want {
					hit = hit || x.Suspicion == w
				}
				hit = hit || c.want == nil
			}
			if hit {
				found++
			}
		}
		t.Logf("%s: %d of %d, by kind %v", c.name, found, drives, count)
		if c.want == nil && found > c.most || found < c.least {
			t.Errorf("%s: %d of %d drives are named; last: %s", c.name, found, drives, sample)
		}
	}
}
