package drive

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Warming is what the owner says of how the engine gets warm; package warm
// turns it into an instant. Its zero value says nothing: a liquid-cooled
// engine, warm when its thermostat has opened.
type Warming struct {
	// AirCooled says that the engine has no thermostat.
	AirCooled bool
	// Rule says when the engine counts as warm where no opening is seen.
	Rule WarmRule
	// Moment is the instant, in seconds after the start of this drive, at which
	// the engine counts as warm by the owner's own judgement; HasMoment says
	// that there is one. It goes before everything else.
	Moment    float64
	HasMoment bool
	// MomentUncertainty is the standard uncertainty of Moment in seconds.
	MomentUncertainty float64
	// StartsWarm says that the engine was warm when the record began. An opening
	// that is seen all the same counts instead.
	StartsWarm bool
}

// WarmRule says when an engine counts as warm. Each condition that is given
// must hold, so that the last of them decides. The zero value is no rule.
type WarmRule struct {
	// After is the time in seconds since the car moved off, or since the
	// record began where there is no speed; 0: no condition.
	After float64
	// Distance is the way since the car moved off; 0: no condition.
	Distance quantity.Length
	// Role is the temperature that must have passed Above; empty: no condition.
	Role  Role
	Above quantity.Temperature
	// Uncertainty is the standard uncertainty of the instant in seconds.
	Uncertainty float64
}

// IsZero reports whether there is no rule.
func (r WarmRule) IsZero() bool { return r.After == 0 && r.Distance == 0 && r.Role == "" }

// String says the rule in words, in the usual units.
func (r WarmRule) String() string { return r.In(quantity.Preferred{}) }

// In says the rule in words, in the given units.
func (r WarmRule) In(units quantity.Preferred) string {
	var all []string
	if r.After > 0 {
		all = append(all, fmt.Sprintf("%.3g min after moving off", r.After/60))
	}
	if r.Distance > 0 {
		all = append(all, fmt.Sprintf("%.3g km after moving off", r.Distance.Metres()/1000))
	}
	if r.Role != "" {
		all = append(all, fmt.Sprintf("%s above %s", r.Role, units.Say(quantity.KindTemperature, "%.1f", r.Above.Kelvin())))
	}
	if len(all) == 0 {
		return "no rule"
	}
	return strings.Join(all, " and ")
}

// Check fails, wrapping [quantity.ErrOutOfRange], where a condition is not
// positive, where the uncertainty is negative or not finite, and where a role
// is no temperature or has none to pass.
func (r WarmRule) Check() error {
	for _, c := range []struct {
		name  string
		value float64
		unit  quantity.Unit
	}{
		{"time", r.After, quantity.KindDuration.SI()}, {"distance", r.Distance.Metres(), quantity.KindLength.SI()},
		{"uncertainty", r.Uncertainty, quantity.KindDuration.SI()},
	} {
		if !(c.value >= 0) || math.IsInf(c.value, 1) {
			return quantity.OutOfRange("rule of warmth", c.name, c.value, 0, math.Inf(1), c.unit, "")
		}
	}
	if r.Role == "" {
		return nil
	}
	if k, known := r.Role.Dimension(); !known || k != quantity.KindTemperature {
		return fmt.Errorf("rule of warmth: %q is no temperature: %w", r.Role, quantity.ErrOutOfRange)
	}
	if !(r.Above.Kelvin() > 0) {
		return quantity.OutOfRange("rule of warmth", "temperature of "+string(r.Role), r.Above.Kelvin(), 0, math.Inf(1), quantity.KindTemperature.SI(), "say above which one the engine is warm")
	}
	return nil
}

// StatedStretch is a stretch of a drive of which the owner says whether
// something holds.
type StatedStretch struct {
	Interval series.Interval // s, drive time
	Holds    bool
}
