package thermostat

import (
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/heatloss"
)

// hilly is a speed in km/h that changes every few minutes.
func hilly(t float64) float64 {
	return []float64{60, 100, 45, 80, 110, 50, 90, 60}[int(t/200)%8]
}

// heated integrates dT/dt = idle + load·P − (T − 10 °C)/tau from 10 °C, in °C.
func heated(idle, load, tau float64) func(float64) float64 {
	y := []float64{10}
	for t := 0; t < 4000; t++ {
		v := hilly(float64(t)) / 3.6
		p := v*0.132 + 0.000302*v*v*v
		last := y[t]
		y = append(y, last+idle+load*p-(last-10)/tau)
	}
	return func(t float64) float64 { return y[int(t)] }
}

// Coolant that passes the radiator from the start loses heat with a time
// constant of minutes: recognised although it neither settles nor falls far.
// Coolant behind a shut valve, as warm after as long under a light load, is not
// called so: half a metre a second downhill, from where nobody burns the 5 W/kg that
// gravity gives. Without the altitude no engine gives so little heat to its coolant.
func TestStuckOpenByLossOfHeat(t *testing.T) {
	for _, c := range []struct {
		name      string
		idle, tau float64
		load      float64
		stuck     bool
	}{
		{"radiator from the start", 0.03, 350, 0.022, true},
		{"radiator, less load", 0.04, 300, 0.02, true},
		{"shut, light load", 0.012, 3500, 0.0055, false},
		{"shut, the cabin's heater on", 0.035, 1050, 0.0085, false},
	} {
		curves := map[drive.Role]func(float64) float64{drive.Coolant: heated(c.idle, c.load, c.tau), drive.Speed: hilly}
		if c.name == "shut, light load" {
			curves[drive.Altitude] = func(t float64) float64 { return 900 - t/2 }
		}
		r := find(t, logged(1500, curves))
		if (r.Outcome == StuckOpen) != c.stuck || r.Outcome == Opened {
			t.Errorf("%s: %v", c.name, r)
		}
	}
}

// The time constant that the fit finds is the one that the curve was made with.
func TestDrainsRecoverTheTimeConstant(t *testing.T) {
	for _, tau := range []float64{300, 600, 3000} {
		d := logged(1500, map[drive.Role]func(float64) float64{drive.Coolant: heated(0.02, 0.012, tau), drive.Speed: hilly})
		tr := newTrace(drive.Coolant, d.Channels[drive.Coolant].Series, 10)
		speed := along(d, drive.Speed, &tr)
		got, ok := heatloss.Fit(tr.t, tr.y, heatloss.Power(tr.t, speed), tr.parked(speed), tr.step, tr.quantum, DefaultRules().Lowest.Kelvin())
		if !ok || math.Abs(got.Value-1/tau) > 3*got.Error+1e-4 {
			t.Errorf("time constant %g s: rate %.5f ± %.5f, made with %.5f", tau, got.Value, got.Error, 1/tau)
		}
	}
}

// A probe that lags by 45 s rounds the corner: the interval reaches back to
// where the climb began to flatten.
func TestRoundedCornerReachesBack(t *testing.T) {
	state := []float64{18}
	for x := 1; x < 1600; x++ {
		last := state[x-1]
		state = append(state, last+(coolant(float64(x))-last)/45)
	}
	r := find(t, logged(1500, map[drive.Role]func(float64) float64{drive.Coolant: func(x float64) float64 { return state[int(x)] }, drive.Speed: constant(60)}))
	if r.Outcome != Opened || !r.Interval95.Contains(600) {
		t.Errorf("%v, truth 600 s", r)
	}
}

// A thermostat holds coolant anywhere between its start and full lift: a record
// that begins at 75 °C and bends at 81 °C has not seen it shut.
func TestBeginsTooNearTheBend(t *testing.T) {
	warm := func(t float64) float64 { return min(75+max(0, t-100)*0.1, 81) + 0.2*math.Sin(t/15) }
	if r := find(t, logged(1500, map[drive.Role]func(float64) float64{drive.Coolant: warm, drive.Speed: constant(60)})); r.Outcome == Opened {
		t.Errorf("%v", r)
	}
}

// A channel that is read more often than the trace is averaged over its bins.
func TestAlongAverages(t *testing.T) {
	var x, v, y []float64
	for i := range 600 {
		x, v = append(x, float64(i)), append(v, float64(20*(i%2)))
	}
	d := &drive.Drive{Channels: map[drive.Role]*drive.Channel{drive.Speed: {Series: &series.Series{Dimension: series.Speed, Time: x, Value: v}}}}
	tr := trace{step: 10}
	for at := 5.0; at < 590; at += 10 {
		tr.t, y = append(tr.t, at), append(y, 300)
	}
	tr.y = y
	for i, s := range along(d, drive.Speed, &tr) {
		if math.Abs(s-10) > 1e-9 {
			t.Fatalf("bin %d: %.2f m/s, mean 10", i, s)
		}
	}
}

// Lines that cut a corner by a short piece leave it the end of the climb; a piece
// that lasts, or gains, is a climb of its own.
func TestCornerEnd(t *testing.T) {
	for _, c := range []struct {
		name         string
		slopes       []float64
		lasts, gains float64 // of the second piece
		want         int
	}{
		{"sharp", []float64{0.07, -0.05}, 60, -3, 1},
		{"cut by a short piece", []float64{0.07, 0.05, -0.05}, 20, 1, 2},
		{"bends and climbs on", []float64{0.07, 0.05, -0.05}, 200, 10, 1},
		{"the record ends in the corner", []float64{0.07, 0.05}, 20, 1, 2},
	} {
		got := cornerEnd(0, c.slopes, func(int) float64 { return c.lasts }, func(int) float64 { return c.gains })
		if got != c.want {
			t.Errorf("%s: piece %d, want %d", c.name, got, c.want)
		}
	}
}

// Coolant of an engine that gives it the usual heat (6 W/kg at 60 km/h and idling
// make 8 to 12 W/kg; 75 J/K for each kg), in frost: behind a shut valve with the
// heater on it gets warm, and is called neither; through a radiator that is never
// shut off, 500 W/K, it stays below 45 °C for twenty minutes, however smoothly it
// climbs.
func TestUnderheated(t *testing.T) {
	warmed := func(tau, heat float64) func(float64) float64 {
		settled := -5 + heat*tau
		return func(x float64) float64 { return settled + (-5-settled)*math.Exp(-x/tau) }
	}
	for _, c := range []struct {
		name      string
		tau, heat float64 // s, K/s
		want      Outcome
	}{
		{"shut, heater on, a mean heat", 900, 0.11, NotReached},
		{"never shut", 300, 0.11, StuckOpen},
	} {
		for _, rarer := range []int{1, 5, 15} { // of readings every 2 s
			d := logged(1200, map[drive.Role]func(float64) float64{drive.Coolant: warmed(c.tau, c.heat), drive.Speed: constant(60)})
			rare := d.Channels[drive.Coolant].Series
			var at, v []float64
			for i := 0; i < len(rare.Time); i++ {
				if i%rarer == 0 {
					at, v = append(at, rare.Time[i]), append(v, rare.Value[i])
				}
			}
			rare.Time, rare.Value = at, v
			if r := find(t, d); (r.Outcome == StuckOpen) != (c.want == StuckOpen) || r.Outcome == Opened {
				t.Errorf("%s, every %d s: %v", c.name, 2*rarer, r)
			}
		}
	}
}

// A short climb of a healthy car, 400 s to 85 °C, tells too little of its loss to call
// the valve stuck open, however its rates fall off.
func TestShortClimbIsNotStuckOpen(t *testing.T) {
	climb := func(x float64) float64 { return min(85, 15+110*(1-math.Exp(-x/350))) + 0.2*math.Sin(x/15) }
	if r := find(t, logged(1500, map[drive.Role]func(float64) float64{drive.Coolant: climb, drive.Speed: constant(60)})); r.Outcome == StuckOpen {
		t.Errorf("%v", r)
	}
}

// A warm restart a few kelvin below the level: when the valve opened can't be told;
// that the engine is at its temperature can. Coolant that still climbs holds nothing.
func TestHeldWithoutAnOpening(t *testing.T) {
	gently := func(x float64) float64 { return 84 - 4.5*math.Exp(-x/60) + 0.2*math.Sin(x/15) }
	r := find(t, logged(2400, map[drive.Role]func(float64) float64{drive.Coolant: gently, drive.Speed: constant(60)}))
	if r.Outcome != NotDecidable || math.Abs(r.Held.Level.Celsius()-84) > 1.5 || gently(r.Held.From) < 80 || r.Held.From > 300 {
		t.Errorf("held %+v, %v", r.Held, r)
	}
	climbs := func(x float64) float64 { return 15 + x/30 }
	if r := find(t, logged(2000, map[drive.Role]func(float64) float64{drive.Coolant: climbs, drive.Speed: constant(60)})); r.Held != (Held{}) {
		t.Errorf("held %+v, %v", r.Held, r)
	}
}
