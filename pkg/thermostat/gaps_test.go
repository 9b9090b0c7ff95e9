package thermostat

import (
	"math"
	"slices"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/heatloss"
)

// without returns the drive without the readings of a role within a span.
func without(d *drive.Drive, gap series.Interval) *drive.Drive {
	for _, c := range d.Channels {
		s := &series.Series{Name: c.Series.Name, Dimension: c.Series.Dimension, Start: c.Series.Start}
		for i, t := range c.Series.Time {
			if !gap.Contains(t) {
				s.Time, s.Value = append(s.Time, t), append(s.Value, c.Series.Value[i])
			}
		}
		c.Series = s
	}
	return d
}

// eased climbs at 6.6 K/min to 79 °C at 560 s, at 2.5 K/min under a lighter load to
// 88 °C at 776 s, opens there and holds 84 °C.
func eased(t float64) float64 {
	switch {
	case t < 560:
		return 18 + 6.6*t/60
	case t < 776:
		return 79.6 + 2.5*(t-560)/60
	}
	return 84 + 4.6*math.Exp(-(t-776)/20)
}

// A gap over the opening: the change of load before it is not called the opening,
// as in two real drives that were given such a gap.
func TestGapOverTheOpening(t *testing.T) {
	curves := map[drive.Role]func(float64) float64{drive.Coolant: eased, drive.Speed: func(t float64) float64 {
		if t < 560 {
			return 90
		}
		return 40
	}}
	if r := find(t, logged(1800, curves)); r.Outcome != Opened || !r.Interval95.Contains(776) {
		t.Fatalf("whole: %v", r)
	}
	for _, gap := range []series.Interval{{From: 740, To: 900}, {From: 680, To: 860}, {From: 620, To: 1000}} {
		if r := find(t, without(logged(1800, curves), gap)); r.Outcome == Opened && !r.Interval95.Contains(776) {
			t.Errorf("gap %v: %v", gap, r)
		}
	}
}

// A record that begins warm and goes on to an overshoot that stands alone saw the
// opening, or a first heavy load: it is not "already open".
func TestRecordBeginsBelowTheOvershoot(t *testing.T) {
	level := func(t float64) float64 {
		if t < 600 {
			return 88 + 5*t/600
		}
		return 90 + 3*math.Exp(-(t-600)/20)
	}
	r := find(t, logged(1500, map[drive.Role]func(float64) float64{drive.Coolant: level, drive.Speed: constant(60)}))
	if r.Outcome != NotDecidable {
		t.Errorf("begins at 88 °C, 93 °C once: %v", r)
	}
	hunting := func(t float64) float64 { return 90 + 1.5*math.Sin(t/40) }
	if r := find(t, logged(1500, map[drive.Role]func(float64) float64{drive.Coolant: hunting, drive.Speed: constant(60)})); r.Outcome != AlreadyOpen {
		t.Errorf("hunts about 90 °C from the start: %v", r)
	}
	// Five minutes that idle at 74 °C and then climb to 80 °C say nothing.
	idled := func(t float64) float64 { return 74 + 6*math.Max(0, t-220)/90 }
	if r := find(t, logged(312, map[drive.Role]func(float64) float64{drive.Coolant: idled, drive.Speed: constant(40)})); r.Outcome != NotDecidable {
		t.Errorf("climbs on at the end: %v", r)
	}
}

// An engine that gives its coolant much heat when cold, less when warm, and whose
// record has a gap where the level was reached: the short time constant that its
// climb seems to have is refuted by how warm the coolant gets.
func TestLossThatTheRecordRefutes(t *testing.T) {
	y := []float64{25}
	for i := range 2000 {
		last := y[i]
		heat := 0.28*math.Exp(-float64(i)/110) + 0.085
		if last > 87 {
			heat = -0.05
		}
		y = append(y, last+heat)
	}
	curve := func(t float64) float64 { return y[int(t)] }
	d := logged(1900, map[drive.Role]func(float64) float64{drive.Coolant: curve, drive.Speed: hilly})
	tr := newTrace(drive.Coolant, d.Channels[drive.Coolant].Series, 10)
	if why := tr.neverShut(len(tr.t), along(d, drive.Speed, &tr), leastDriven, DefaultRules()); why != "" {
		t.Error(why)
	}
	if r := find(t, without(d, series.Interval{From: 700, To: 1150})); r.Outcome == StuckOpen {
		t.Error(r)
	}
}

// Metal between combustion and coolant delays the heat by a minute; the time
// constant of the loss is found all the same.
func TestLossBehindMetal(t *testing.T) {
	const tau = 400.0
	y, lagging := []float64{10}, 0.0
	for i := range 4000 {
		v := hilly(float64(i)) / 3.6
		p := v*0.132 + 0.000302*v*v*v
		lagging += (p - lagging) / 60
		y = append(y, y[i]+0.02+0.014*lagging-(y[i]-10)/tau)
	}
	d := logged(1800, map[drive.Role]func(float64) float64{drive.Coolant: func(t float64) float64 { return y[int(t)] }, drive.Speed: hilly})
	tr := newTrace(drive.Coolant, d.Channels[drive.Coolant].Series, 10)
	speed := along(d, drive.Speed, &tr)
	got, ok := heatloss.Fit(tr.t, tr.y, heatloss.Power(tr.t, speed), tr.parked(speed), tr.step, tr.quantum, DefaultRules().Lowest.Kelvin())
	if !ok || math.Abs(got.Value-1/tau) > 2.5*got.Error || got.Error > 0.15*got.Value {
		t.Errorf("time constant %.0f ± %.0f s, made with %.0f s", 1/got.Value, got.Error/got.Value/got.Value, tau)
	}
}

// A record that begins half warm on a frosty day: the outside air says that the
// cabin's heater is on.
func TestHeaterByTheOutsideAir(t *testing.T) {
	curves := map[drive.Role]func(float64) float64{drive.Coolant: constant(22), drive.Speed: constant(50)}
	tau := func() float64 {
		d := logged(100, curves)
		tr := newTrace(drive.Coolant, d.Channels[drive.Coolant].Series, 10)
		return heatloss.LeastTauOf(tr.y[0], heatloss.AirOf(d))
	}
	mild := tau()
	curves[drive.Ambient] = constant(-8)
	if frost := tau(); mild != heatloss.LeastTau || frost != 600 {
		t.Errorf("%v s on a mild day, %v s in frost", mild, frost)
	}
}

// A slow logger does not lose what driving asks for between two of its readings.
func TestPowerBetweenReadings(t *testing.T) {
	speed := func(t float64) float64 { return 40 + 30*math.Sin(t/5) }
	d := logged(1200, map[drive.Role]func(float64) float64{drive.Coolant: coolant, drive.Speed: speed})
	mean := func(step float64) float64 {
		s := d.Channels[drive.Coolant].Series
		rare := &series.Series{Name: s.Name, Dimension: s.Dimension}
		for i := range s.Time {
			if math.Mod(s.Time[i], step) == 0 {
				rare.Time, rare.Value = append(rare.Time, s.Time[i]), append(rare.Value, s.Value[i])
			}
		}
		tr := newTrace(drive.Coolant, rare, 10)
		tr.of = d
		return meanOf(heatloss.PowerOf(tr.of, tr.t, along(d, drive.Speed, &tr), tr.step), 1, len(tr.t)-1)
	}
	if fine, rare := mean(2), mean(30); math.Abs(rare/fine-1) > 0.05 {
		t.Errorf("%.2f W/kg by readings every 2 s, %.2f every 30 s", fine, rare)
	}
}

// Coolant that hunts: its second peak is not in the window that dates the first.
func TestWindowEndsAtTheSecondClimb(t *testing.T) {
	curve := func(t float64) float64 {
		if t < 600 {
			return 24 + 6*t/60
		}
		return 79 + 5*math.Cos((t-600)/8)
	}
	d := logged(1200, map[drive.Role]func(float64) float64{drive.Coolant: curve})
	tr := newTrace(drive.Coolant, d.Channels[drive.Coolant].Series, 10)
	at := slices.IndexFunc(tr.t, func(x float64) bool { return x >= 600 })
	_, hi := tr.around(bend{from: 0, at: at, height: quantity.Celsius(84).Kelvin()}, [2]int{0, len(tr.t)})
	if end := tr.t[hi-1]; end < 610 || end > 600+8*2*math.Pi-10 {
		t.Errorf("the window ends at %.0f s, the coolant peaks again at %.0f s", end, 600+8*2*math.Pi)
	}
}
