package thermostat

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/bins"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/heatloss"
)

// leastTau is that of this drive, s; a radiator's tank feels no heater.
func (tr *trace) leastTau() float64 {
	if tr.role != drive.Coolant {
		return heatloss.LeastTau
	}
	air := math.NaN()
	if tr.of != nil {
		air = bins.ColdestAir(tr.of)
	}
	return heatloss.LeastTauOf(tr.y[0], air)
}

// leastDriven is for how long the car must have moved, s, for coolant that is
// still too cold for any thermostat to say something: longer than most warm-ups.
const leastDriven = 700.0

// leastDoubt is for how long the car must have moved, s, for such a loss to cast a
// doubt on a bend: less than to be called a valve that never shuts.
const leastDoubt = 300.0

// slowClimb is by how much more than the least heat of its driving the coolant of a
// short climb may have got where its rates say that it loses heat.
const slowClimb = 1.5

// belowTop is how far below its top a climb is taken to be that of a valve that
// is still shut, K: coolant overshoots the opening by less, or bends there.
const belowTop = 4.0

// mostHeating is more than what an engine in a drive's mean gives its coolant, K/s:
// 25 kW into 80 kJ/K (common practice, no source). A loss that asks for more to come
// as far as the coolant did is none; the engine's heat fell as it warmed up.
const mostHeating = 0.3

// neverShut returns why the first n bins of a channel show that coolant passed
// the radiator from the start, empty if they do not: it stays colder than the
// driving leaves it behind a shut valve, or it loses heat, below any thermostat,
// faster than a shut one lets it, and was driven for so long, s.
func (tr *trace) neverShut(n int, speed []float64, driven float64, rules Rules) string {
	if speed == nil {
		return ""
	}
	n = min(n, tr.runs[0][1]) // what became of the heat in a gap nobody knows
	highest, power, parked, least := tr.quantile(0, n, 0.98), heatloss.PowerOf(tr.of, tr.t, speed, tr.step), tr.parked(speed), tr.leastTau()
	loses := func(n int, most float64) (heatloss.Rate, bool) {
		loss, ok := heatloss.Fit(tr.t[:n], tr.y[:n], power[:n], parked[:n], tr.step, tr.quantum, most)
		return loss, ok && loss.Span >= 20 && loss.Low >= 1/least && loss.Value*(highest-tr.y[0]) < mostHeating
	}
	coldest := tr.coldest(n, 1, power, parked)
	if i := tr.underheated(n, coldest, leastDriven, parked, speed, rules); i >= 0 {
		way := ", unless it went downhill all the way"
		if tr.of != nil && tr.of.Has(drive.Altitude) {
			way = ""
		}
		return fmt.Sprintf("after %.0f s of driving the %s is at %s; behind a valve that is shut the least heat of such driving brings it to %s, with the heater on: it passes the radiator%s", tr.drivenBelow(speed[:i+1], math.Inf(1)), tr.role, tr.degrees(tr.y[i]), tr.degrees(coldest[i]), way)
	}
	loss, ok := loses(n, rules.Lowest.Kelvin())
	below := tr.drivenBelow(speed[:n], rules.Lowest.Kelvin())
	if !ok || tr.drivenBelow(speed[:n], math.Inf(1)) < driven {
		return ""
	}
	// The rates of a short climb tell little by themselves: it must be a slow one, too.
	if below < leastDriven && tr.underheated(n, tr.coldest(n, slowClimb, power, parked), below-10-tr.step, parked, speed, rules) < 0 {
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

// coldStart is the warmest first reading, °C, of an engine that stood overnight,
// where the outside air is not known; surelyOvernight is what the air is taken to be
// where the engine is warmer.
const (
	coldStart       = 35.0
	surelyOvernight = 20.0
)

// coldest is where coolant behind a shut valve would be at each bin if driving gave
// it heat times the least, see [heatloss.LeastWarmed]; nil for an engine that may not
// be cold while the outside air is not known, and for a tank, which is cold for as
// long as the valve is shut.
func (tr *trace) coldest(n int, heat float64, power []float64, parked []bool) []float64 {
	air := math.NaN()
	if tr.of != nil {
		air = bins.ColdestAir(tr.of)
	}
	if tr.role != drive.Coolant || math.IsNaN(air) && tr.y[0] > celsius(coldStart) {
		return nil
	}
	if math.IsNaN(air) {
		air = min(tr.y[0], celsius(surelyOvernight))
	}
	air = min(air, tr.y[0])
	return heatloss.LeastWarmed(tr.t[:n], tr.y[0], air, heat, power[:n], parked, heatloss.Climbing(tr.of, tr.t[:n], tr.step))
}

// underheated returns the first of the n bins at which the coolant, below any
// thermostat and after some driving, s, is colder than given; -1 without one.
func (tr *trace) underheated(n int, than []float64, driven float64, parked []bool, speed []float64, rules Rules) int {
	y, so := tr.smooth(60), 0.0
	for i := range min(n, len(than)) {
		if tr.y[i] > rules.Lowest.Kelvin() {
			break
		}
		if speed[i] > moving {
			so += tr.step
		}
		if so >= driven && !parked[i] && y[i]+tr.quantum < than[i] {
			return i
		}
	}
	return -1
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
	if why := tr.neverShut(len(tr.t), speed, leastDriven, rules); why != "" {
		v.outcome, v.reason = StuckOpen, why
	}
}
