package engine

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/engine/internal/curves"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Curve is full-throttle torque and power over engine speed.
type Curve struct {
	Speed  []quantity.RotationalSpeed // ascending
	Torque []quantity.Torque
	Power  []quantity.Power
	// Assumed says how the curve was made if it was not measured.
	Assumed string
}

// RatedCurve returns full-throttle torque and power at the given speeds, drawn
// through the two rated points: greatest torque with a level tangent, greatest
// power with a level tangent of power. Between the two it is the only cubic
// with these four properties; below the speed of greatest torque a parabola
// with the same curvature there, above that of greatest power the same cubic
// goes on. Common practice, no source: good to a few percent between the rated
// points, a guess elsewhere.
//
// Speeds must be ascending, from a third of the speed of greatest torque to
// 1.25 times that of greatest power; nil takes 25 speeds from 1000 rpm to the
// redline (or the speed of greatest power); others give an error that wraps
// [ErrOutOfRange]. A description without all four rated values gives one that
// wraps [ErrMissing], one that fails [Description.Check] its error.
func RatedCurve(d Description, speeds []quantity.RotationalSpeed) (Curve, error) {
	if !(d.RatedPower > 0 && d.RatedPowerSpeed > 0 && d.RatedTorque > 0 && d.RatedTorqueSpeed > 0) {
		return Curve{}, fmt.Errorf("engine.RatedCurve: %s: %w; the curve goes through rated power and rated torque, both with their speeds", d.unrated(), ErrMissing)
	}
	if err := d.Check(); err != nil {
		return Curve{}, err
	}
	low, high := d.RatedTorqueSpeed/3, 1.25*d.RatedPowerSpeed
	if speeds == nil {
		first := max(1000*quantity.RevolutionPerMinute, low)
		last := min(max(d.Redline, d.RatedPowerSpeed), high)
		for i := range 25 {
			speeds = append(speeds, first+(last-first)*quantity.RotationalSpeed(i)/24)
		}
	}
	atPower := float64(torqueOf(d.RatedPower, d.RatedPowerSpeed))
	c := Curve{Assumed: "drawn through the rated points; common practice, no source"}
	for i, n := range speeds {
		if !(n >= low && n <= high) {
			return Curve{}, rangeError("RatedCurve", fmt.Sprintf("speed number %d,", i+1), float64(n), float64(low), float64(high), quantity.KindRotationalSpeed.Shown(), "")
		}
		if i > 0 && !(n > speeds[i-1]) {
			return Curve{}, rangeError("RatedCurve", fmt.Sprintf("speed number %d,", i+1), float64(n), float64(speeds[i-1]), math.Inf(1), quantity.KindRotationalSpeed.Shown(), "speeds must ascend")
		}
		t := quantity.Torque(curves.RatedTorque(float64(n), float64(d.RatedTorqueSpeed), float64(d.RatedTorque), float64(d.RatedPowerSpeed), atPower))
		c.Speed = append(c.Speed, n)
		c.Torque = append(c.Torque, t)
		c.Power = append(c.Power, powerOf(t, n))
	}
	return c, nil
}

// Band is a curve with what a change of intake air makes of it: torque and
// power between Low and High at each speed.
type Band struct {
	Base      Curve
	Low, High Curve
	Effect    Effect
	Cautions  []string
}

// Scale returns the curve under a changed intake air: torque and power times
// one plus the lowest and the highest estimate of the effect. Full throttle
// only; the formulas know no engine speed, so the same percentages hold over
// the whole curve.
func (c Curve) Scale(e Effect) Band {
	low, high := e.Range()
	return Band{
		Base: c, Low: c.times(1 + low), High: c.times(1 + high), Effect: e,
		Cautions: append([]string{"One percentage for all engine speeds: the standards' formulas know no speed."}, e.Cautions...),
	}
}

func (c Curve) times(f float64) Curve {
	r := Curve{Speed: c.Speed, Assumed: c.Assumed}
	for i := range c.Speed {
		r.Torque = append(r.Torque, c.Torque[i]*quantity.Torque(f))
		r.Power = append(r.Power, c.Power[i]*quantity.Power(f))
	}
	return r
}

// Peak returns the greatest power on the curve and its speed; NaN if empty.
func (c Curve) Peak() (quantity.Power, quantity.RotationalSpeed) {
	p, n := quantity.Power(math.NaN()), quantity.RotationalSpeed(math.NaN())
	for i, x := range c.Power {
		if !(x <= p) {
			p, n = x, c.Speed[i]
		}
	}
	return p, n
}

// String returns the two peaks and the span.
func (b Band) String() string {
	p, n := b.Base.Peak()
	lo, _ := b.Low.Peak()
	hi, _ := b.High.Peak()
	s := fmt.Sprintf("greatest power %v at %v becomes %v to %v", p, n, lo, hi)
	if b.Effect.Extrapolated {
		s += " (extrapolated)"
	}
	if b.Base.Assumed != "" {
		s += "; curve " + b.Base.Assumed
	}
	return s
}

// unrated names, as in a campaign file, what is missing for a curve.
func (d Description) unrated() string {
	var keys []string
	for _, k := range []struct {
		name  string
		value float64
	}{{"rated-power", float64(d.RatedPower)}, {"rated-power-speed", float64(d.RatedPowerSpeed)}, {"rated-torque", float64(d.RatedTorque)}, {"rated-torque-speed", float64(d.RatedTorqueSpeed)}} {
		if !(k.value > 0) {
			keys = append(keys, k.name)
		}
	}
	return strings.Join(keys, ", ")
}
