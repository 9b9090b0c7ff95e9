package thermostat

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/heatloss"
)

// leastTau is the time constant, s, by which coolant behind a shut thermostat
// loses heat at the fastest. Block, hoses and what leaks take 20 to 40 W/K of
// an engine of 60 to 100 kJ/K: 25 min and more. A cabin heater, which is on in
// the cold, takes another 60 W/K (4 to 6 kW at 70 to 80 K): 10 min and more; with
// 15 min real cars in frost, behind a shut valve, were called stuck open.
// A radiator that is never shut off takes 100 to 500 W/K: 2 to 12 min (common
// practice, no source).
const (
	leastTau        = 1500.0
	leastTauHeating = 600.0
)

// heaterOff is between which temperatures of the coolant at the start, °C, the
// cabin's heater is held to be off: a cold engine on a mild day.
var heaterOff = [2]float64{15, 35}

// leastTau is that of this drive; a radiator's tank feels no heater. A record may
// begin with an engine that is half warm: where the outside air is known, it tells.
func (tr *trace) leastTau() float64 {
	first := tr.y[0]
	if tr.of != nil {
		if air := coldestAir(tr.of); air < first {
			first = air
		}
	}
	if tr.role == drive.Coolant && (first < celsius(heaterOff[0]) || first > celsius(heaterOff[1])) {
		return leastTauHeating
	}
	return leastTau
}

// leastDriven is for how long the car must have moved, s, for coolant that is
// still too cold for any thermostat to say something: longer than most warm-ups.
const leastDriven = 700.0

// belowTop is how far below its top a climb is taken to be that of a valve that
// is still shut, K: coolant overshoots the opening by less, or bends there.
const belowTop = 4.0

// mostHeating is more than what an engine in a drive's mean gives its coolant, K/s:
// 25 kW into 80 kJ/K (common practice, no source). A loss that asks for more to come
// as far as the coolant did is none; the engine's heat fell as it warmed up.
const mostHeating = 0.3

// neverShut returns why the first n bins of a channel show that coolant passed
// the radiator from the start, empty if they do not: it loses heat, below any
// thermostat, faster than a shut one lets it, and was driven for longer than a
// warm-up takes.
func (tr *trace) neverShut(n int, speed []float64, rules Rules) string {
	if speed == nil {
		return ""
	}
	n = min(n, tr.runs[0][1]) // what became of the heat in a gap nobody knows
	highest, power, parked, least := tr.quantile(0, n, 0.98), tr.power(speed), tr.parked(speed), tr.leastTau()
	loses := func(n int, most float64) (heatloss.Rate, bool) {
		loss, ok := heatloss.Fit(tr.t[:n], tr.y[:n], power[:n], parked[:n], tr.step, tr.quantum, most)
		return loss, ok && loss.Span >= 20 && loss.Low >= 1/least && loss.Value*(highest-tr.y[0]) < mostHeating
	}
	loss, ok := loses(n, rules.Lowest.Kelvin())
	if !ok || tr.drivenBelow(speed[:n], math.Inf(1)) < leastDriven {
		return ""
	}
	// What is never shut off goes on losing heat so all the way up; behind a valve
	// that is shut the coolant climbs to where it opens.
	if top := highest - belowTop; top > rules.Lowest.Kelvin() {
		first := slices.IndexFunc(tr.y[:n], func(y float64) bool { return y > top })
		if _, ok := loses(first, top); !ok {
			return ""
		}
	}
	return fmt.Sprintf("below %s the %s loses heat with a time constant of %.0f min (95 %%: under %.0f min), as fast as only a radiator that is never shut off takes it", tr.degrees(rules.Lowest.Kelvin()), tr.role, 1/loss.Value/60, 1/loss.Low/60)
}

// power is what the speed, given at the trace's bins, asks of the engine there, W/kg:
// of the speed as it was read where the logger is slow, since the mean over its step
// does not show what is between two readings.
func (tr *trace) power(speed []float64) []float64 {
	power := heatloss.Power(tr.t, speed)
	if tr.of == nil {
		return power
	}
	if c := tr.of.Channels[drive.Speed].Series; tr.step > 1.5*c.Step() {
		grid := series.Grid(c.Interval(), max(1, c.Step()))
		fine := along(tr.of, drive.Speed, &trace{t: grid, step: max(1, c.Step())})
		if fine == nil {
			return power
		}
		averageInto(power, tr, &series.Series{Time: grid, Value: heatloss.Power(grid, fine)})
	}
	return power
}

// coldestAir is the lowest reading of the outside air, or else of the air drawn,
// K; NaN where neither is read.
func coldestAir(d *drive.Drive) float64 {
	for _, role := range []drive.Role{drive.Ambient, drive.Intake} {
		least := math.NaN()
		if c, ok := d.Channels[role]; ok {
			for _, v := range c.Series.Value {
				if !math.IsNaN(v) && !(v >= least) {
					least = v
				}
			}
		}
		if !math.IsNaN(least) {
			return least
		}
	}
	return math.NaN()
}

// drivenBelow is for how long the car moved while the channel was below a
// temperature, s.
func (tr *trace) drivenBelow(speed []float64, most float64) (s float64) {
	for i, v := range speed {
		if v > moving && tr.y[i] < most {
			s += tr.step
		}
	}
	return s
}

// drained turns an undecided verdict into a stuck-open one where the loss of
// heat says so.
func (v *verdict) drained(tr *trace, speed []float64, rules Rules) {
	if v.outcome != NotDecidable && v.outcome != NotReached {
		return
	}
	if why := tr.neverShut(len(tr.t), speed, rules); why != "" {
		v.outcome, v.reason = StuckOpen, why
	}
}
