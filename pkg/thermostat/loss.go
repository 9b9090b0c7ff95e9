package thermostat

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/heatloss"
)

// leastTau is the time constant, s, by which coolant behind a shut thermostat
// loses heat at the fastest. Block, hoses and what leaks take 20 to 40 W/K of
// an engine of 60 to 100 kJ/K: 25 min and more. A radiator that is never shut
// off takes 100 to 500 W/K besides: 2 to 12 min (judgement). A cabin heater in
// frost can look like it; that is why it takes longer driving than a warm-up.
const leastTau = 1500.0

// oneSided is the normal distribution's 95 % quantile.
const oneSided = 1.645

// neverShut returns why a channel shows that coolant passed the radiator from
// the start, empty if it does not: it loses heat, below any thermostat, faster
// than a shut one lets it, and was driven for longer than a warm-up takes.
func (tr *trace) neverShut(speed []float64, rules Rules) string {
	if speed == nil {
		return ""
	}
	loss, ok := heatloss.Fit(tr.t, tr.y, heatloss.Power(tr.t, speed), tr.parked(speed), tr.step, rules.Lowest.Kelvin())
	if !ok || loss.Span < 20 || loss.Value-oneSided*loss.Error < 1/leastTau || tr.drivenFast(speed, rules) < 2*rules.PlateauTime {
		return ""
	}
	return fmt.Sprintf("below %s the %s loses heat with a time constant of %.0f min (95 %%: under %.0f min), as fast as only a radiator that is never shut off takes it", tr.degrees(rules.Lowest.Kelvin()), tr.role, 1/loss.Value/60, 1/(loss.Value-oneSided*loss.Error)/60)
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
