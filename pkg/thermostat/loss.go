package thermostat

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// leastTau is the time constant, s, by which coolant behind a shut thermostat
// loses heat at the fastest. Block, hoses and what leaks take 20 to 40 W/K of
// an engine of 60 to 100 kJ/K: 25 min and more. A radiator that is never shut
// off takes 100 to 500 W/K besides: 2 to 12 min (judgement). A cabin heater in
// frost can look like it; that is why it takes longer driving than a warm-up.
const leastTau = 1500.0

// oneSided is the normal distribution's 95 % quantile.
const oneSided = 1.645

// A drain is how coolant or a tank loses heat while it is too cold for any
// thermostat to have opened.
type drain struct {
	rate, error float64 // 1/s: the inverse of the time constant, and its standard error
	span        float64 // K that the fit spans
}

// drains fits dT/dt = idle + load·P − rate·T to half minutes of driving below
// the lowest thermostat, where P is the power that speed and acceleration ask
// for: the load tells heat that goes in from heat that goes out.
func (tr *trace) drains(speed []float64, rules Rules) (drain, bool) {
	if speed == nil {
		return drain{}, false
	}
	parked, power := tr.parked(speed), tr.power(speed)
	w := max(1, int(30/tr.step))
	var rates, powers, heights []float64
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := 0; i+w < len(tr.t); i += max(1, w/2) {
		j := i + w
		dt := tr.t[j] - tr.t[i]
		if dt > 1.5*float64(w)*tr.step || parked[i] || parked[j] || max(tr.y[i], tr.y[j]) > rules.Lowest.Kelvin() {
			continue
		}
		y := meanOf(tr.y, i, j+1)
		rates, powers, heights = append(rates, (tr.y[j]-tr.y[i])/dt), append(powers, meanOf(power, i, j)), append(heights, tr.y[0]-y)
		lo, hi = min(lo, y), max(hi, y)
	}
	if len(rates) < 10 {
		return drain{}, false
	}
	opts := regression.DefaultOptions()
	opts.Noise = regression.EffectiveSize
	f, err := regression.LeastSquares(rates, [][]float64{regression.Ones(len(rates)), powers, heights}, opts)
	if err != nil {
		return drain{}, false
	}
	return drain{rate: f.Coefficients[2], error: f.StandardError(2), span: hi - lo}, true
}

// power is what speed and acceleration ask of the engine at each bin, W for
// each kilogram of car: rolling, air and inertia, none when it brakes. The
// coefficients are those of typical light cars (segment.SpecificPower).
func (tr *trace) power(speed []float64) []float64 {
	p := make([]float64, len(speed))
	for i, v := range speed {
		a := 0.0
		if 0 < i && i+1 < len(speed) {
			a = (speed[i+1] - speed[i-1]) / (tr.t[i+1] - tr.t[i-1])
		}
		p[i] = max(0, v*(1.1*a+0.132)+0.000302*v*v*v)
	}
	return p
}

// neverShut returns why a channel shows that coolant passed the radiator from
// the start, empty if it does not: it loses heat, below any thermostat, faster
// than a shut one lets it, and was driven for longer than a warm-up takes.
func (tr *trace) neverShut(speed []float64, rules Rules) string {
	d, ok := tr.drains(speed, rules)
	if !ok || d.span < 20 || d.rate-oneSided*d.error < 1/leastTau || tr.drivenFast(speed, rules) < 2*rules.PlateauTime {
		return ""
	}
	return fmt.Sprintf("below %s the %s loses heat with a time constant of %.0f min (95 %%: under %.0f min), as fast as only a radiator that is never shut off takes it", tr.degrees(rules.Lowest.Kelvin()), tr.role, 1/d.rate/60, 1/(d.rate-oneSided*d.error)/60)
}

// drained turns an undecided verdict into a stuck-open one where the loss of
// heat says so.
func (v *verdict) drained(tr *trace, speed []float64, rules Rules) {
	if v.outcome != NotDecidable && v.outcome != NotReached {
		return
	}
	if why := tr.neverShut(speed, rules); why != "" {
		v.outcome, v.reason = StuckOpen, why
	}
}
