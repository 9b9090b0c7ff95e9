package thermostat

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/heatloss"
)

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
	highest, power, parked, least := tr.quantile(0, n, 0.98), heatloss.PowerOf(tr.of, tr.t, speed, tr.step), tr.parked(speed), heatloss.LeastTau
	if tr.role == drive.Coolant { // a radiator's tank feels no heater
		least = heatloss.LeastTauOf(tr.y[0], heatloss.AirOf(tr.of))
	}
	loses := func(n int, most float64) (heatloss.Rate, bool) {
		loss, ok := heatloss.Fit(tr.t[:n], tr.y[:n], power[:n], parked[:n], tr.step, tr.quantum, most)
		return loss, ok && loss.Span >= 20 && loss.Low >= 1/least && loss.Value*(highest-tr.y[0]) < mostHeating
	}
	// A tank is cold for as long as the valve is shut.
	colder := func(heat, driven float64) (at int, than float64) {
		if tr.role != drive.Coolant {
			return -1, 0
		}
		return heatloss.Way{Drive: tr.of, Time: tr.t[:n], Temperature: tr.y[:n], Smooth: tr.smooth(60)[:n], Speed: speed, Power: power, Parked: parked,
			Step: tr.step, Quantum: tr.quantum, Most: rules.Lowest.Kelvin()}.Colder(heat, driven, moving)
	}
	if i, least := colder(1, leastDriven); i >= 0 {
		way := ", unless it went downhill all the way"
		if tr.of != nil && tr.of.Has(drive.Altitude) {
			way = ""
		}
		return fmt.Sprintf("after %.0f s of driving the %s is at %s; behind a valve that is shut the least heat of such driving brings it to %s, with the heater on: it passes the radiator%s", tr.drivenBelow(speed[:i+1], math.Inf(1)), tr.role, tr.degrees(tr.y[i]), tr.degrees(least), way)
	}
	loss, ok := loses(n, rules.Lowest.Kelvin())
	below := tr.drivenBelow(speed[:n], rules.Lowest.Kelvin())
	if !ok || tr.drivenBelow(speed[:n], math.Inf(1)) < driven {
		return ""
	}
	// The rates of a short climb tell little by themselves: it must be a slow one, too.
	if i, _ := colder(slowClimb, below-10-tr.step); i < 0 && below < leastDriven {
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
