package campaign

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// byHand is the standard uncertainty in seconds of an instant that somebody
// remembers, where none is stated. Common practice, no source.
const byHand = 60.0

// The limits are wide: they catch a wrong unit, not an unusual engine.
const (
	longestWarmUp    = 2 * 3600.0 // s
	longestWarmUpWay = 200e3      // m
)

// readWarm reads when the engine counts as warm where no thermostat shows it.
func (c *Campaign) readWarm(t *table) {
	r := drive.WarmRule{
		After:       orZero(t.quantity("after", false, quantity.KindDuration, 1, longestWarmUp)),
		Distance:    quantity.Length(orZero(t.quantity("distance", false, quantity.KindLength, 1, longestWarmUpWay))),
		Uncertainty: orZero(t.quantity("uncertainty", false, quantity.KindDuration, 0, longestWarmUp)),
	}
	r.Role = t.role("role")
	above := t.quantity("above", false, quantity.KindTemperature, quantity.Celsius(0).Kelvin(), quantity.Celsius(300).Kelvin())
	if !math.IsNaN(above) {
		r.Above = quantity.Kelvin(above)
	}
	role := r.Role != "" || t.has("role")
	switch dim, _ := r.Role.Dimension(); {
	case role != t.has("above"):
		t.problems.add(t.node.line, t.path, `role and above go together, for example role = "oil" and above = "70 degC": the engine counts as warm when that temperature has passed this one`)
	case r.Role != "" && dim != quantity.KindTemperature:
		t.problems.add(t.line("role"), t.key("role"), "%q is no temperature, and only a temperature can pass %q", r.Role, "above")
	case r.Role == drive.Ambient || r.Role.IsIntake():
		t.problems.add(t.line("role"), t.key("role"), "%q tells nothing of how warm the engine is; name a probe on it, such as \"oil\" or \"cylinder-head\"", r.Role)
	case r.IsZero() && !role && !t.has("after") && !t.has("distance"):
		t.problems.add(t.node.line, t.path, `no condition is given: write after = "15 min", distance = "8 km", or role = "oil" with above = "70 degC"`)
	}
	t.done()
	c.Warm = r
}

// checkWarmRole demands that some device has the role of the rule of warmth.
func (c *Campaign) checkWarmRole(t *table) {
	n := t.node.fields["warm"]
	if c.Warm.Role == "" || n == nil || n.fields["role"] == nil {
		return
	}
	if c.measures(c.Warm.Role) {
		return
	}
	t.problems.add(n.fields["role"].line, "warm.role", "no device has a channel with the role %q, so that nothing tells when it passes %v; give a column that role, or choose another condition", c.Warm.Role, c.Warm.Above)
}

// readWarmth reads what the file says of how warm this drive's engine was.
func (e *Entry) readWarmth(t *table) {
	e.WarmAt = t.quantity("warm-at", false, quantity.KindDuration, 0, longestWarmUp)
	e.WarmUncertainty = t.quantity("warm-uncertainty", false, quantity.KindDuration, 0, longestWarmUp)
	e.StartsWarm = t.flag("starts-warm")
	stated := !math.IsNaN(e.WarmAt)
	switch {
	case !stated && t.has("warm-uncertainty") && !t.has("warm-at"):
		t.problems.add(t.line("warm-uncertainty"), t.key("warm-uncertainty"), "an uncertainty of what? Write warm-at, the time after the start of the drive at which the engine was warm, or leave this out")
	case stated && e.StartsWarm:
		t.problems.add(t.line("starts-warm"), t.key("starts-warm"), "the drive can't start warm and get warm at warm-at; leave one of the two out")
	}
	if math.IsNaN(e.WarmUncertainty) {
		e.WarmUncertainty = byHand
	}
}

// warming is what the file says of how the engine of a drive got warm.
func (c *Campaign) warming(e Entry) drive.Warming {
	w := drive.Warming{AirCooled: c.AirCooled, Rule: c.Warm, StartsWarm: e.StartsWarm}
	if !math.IsNaN(e.WarmAt) {
		w.HasMoment, w.Moment, w.MomentUncertainty = true, e.WarmAt, e.WarmUncertainty
	}
	return w
}
