package drive

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Limits of the check of an ambient probe against speed. Common practice, no
// source.
const (
	speedWindow  = 120.0 // s, long beside a probe's lag
	fewestSteps  = 10    // pairs of neighbouring windows
	slowing      = 16.7  // m/s, 60 km/h: from the road to a standstill
	slowingRise  = 1.5   // K that the probe must gain by it
	clearlySlope = 4.0   // standard errors that the slope must be from zero
	leastSpread  = 3.0   // m/s, standard deviation of the windows' steps of speed
)

// checkAmbient finds an ambient probe that the car warms: at stops, or without
// one whenever it goes slowly.
func (d *Drive) checkAmbient() (Check, bool) {
	if c, found := d.checkAmbientAtStops(); found {
		return c, true
	}
	return d.checkAmbientBySpeed()
}

// checkAmbientBySpeed compares neighbouring stretches of two minutes: outside air
// does not warm each time the car slows down. What the air does over the day drops
// out of the steps from one to the next.
func (d *Drive) checkAmbientBySpeed() (Check, bool) {
	if !d.Has(Ambient, Speed) {
		return Check{}, false
	}
	ambient, speed := d.Channels[Ambient].Series, d.Channels[Speed].Series
	v := d.Interval()
	var dv, dt []float64
	lastSpeed, lastAmbient := math.NaN(), math.NaN()
	for from := v.From; from+speedWindow <= v.To; from += speedWindow {
		w := series.Interval{From: from, To: from + speedWindow}
		s, a := speed.Mean(w, MaxGap), ambient.Mean(w, MaxGap)
		if step := s - lastSpeed; !math.IsNaN(step) && !math.IsNaN(a-lastAmbient) {
			dv, dt = append(dv, step), append(dt, a-lastAmbient)
		}
		lastSpeed, lastAmbient = s, a
	}
	slope, spread, deviation := throughOrigin(dv, dt)
	size := -slope * slowing
	if len(dv) < fewestSteps || deviation < leastSpread || size < slowingRise || -slope < clearlySlope*spread {
		return Check{}, false
	}
	return Check{Suspicion: AmbientHeated, Roles: []Role{Ambient}, Size: size, Message: fmt.Sprintf("the ambient channel rises by %s each time the car slows down by %s, as heat of bonnet or radiator would make it and outside air would not; mount the probe further forward, and use its lowest values on the open road", d.Units.Say(quantity.KindTemperatureDifference, "%.1f", size), d.Units.Say(quantity.KindSpeed, "%.0f", slowing))}, true
}

// throughOrigin fits y = slope·x and returns the slope, its standard error and the
// root mean square of x.
func throughOrigin(x, y []float64) (slope, standardError, deviation float64) {
	xx, xy, rest := 0.0, 0.0, 0.0
	for i := range x {
		xx, xy = xx+x[i]*x[i], xy+x[i]*y[i]
	}
	slope = xy / xx
	for i := range x {
		rest += (y[i] - slope*x[i]) * (y[i] - slope*x[i])
	}
	n := float64(len(x))
	return slope, math.Sqrt(rest / (n - 1) / xx), math.Sqrt(xx / n)
}
