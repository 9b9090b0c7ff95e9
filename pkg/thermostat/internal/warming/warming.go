// Package warming says how coolant would warm with the thermostat shut.
package warming

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// Law predicts how the coolant's temperature would change with the thermostat
// closed: dT/dt = idle + load·v − loss·(T − T₀). The coefficients are fitted
// to the drive's own warm-up and kept at or above zero, so that a light load
// predicts a shelf and a heavy one a rise.
type Law struct {
	idle, load, loss float64
	reference        float64
}

// Fit fits a warm-up: times in s, temperatures in K and speeds in m/s (nil if
// unknown) in bins of step seconds. ok is false where it is too short.
func Fit(t, temperature, speed []float64, step float64) (w Law, ok bool) {
	if len(t) == 0 {
		return w, false
	}
	w = Law{reference: temperature[0]}
	// Rates over half a minute: long enough to see 1 K steps.
	span := max(2, int(30/step))
	var idle, load, loss, rates []float64
	for i := 0; i+span < len(t); i += max(1, span/2) {
		dt := t[i+span] - t[i]
		if dt > 2*float64(span)*step {
			continue
		}
		rates = append(rates, (temperature[i+span]-temperature[i])/dt)
		v := math.NaN()
		if speed != nil {
			v = mean(speed[i : i+span])
		}
		x := w.terms(v, mean(temperature[i:i+span]))
		idle, load, loss = append(idle, x[0]), append(load, x[1]), append(loss, x[2])
	}
	if len(rates) < 4 {
		return w, false
	}
	// Without a speed the load's column is 0 and so is its coefficient.
	b, _, err := regression.NonNegative(rates, [][]float64{idle, load, loss})
	if err != nil {
		return w, false
	}
	w.idle, w.load, w.loss = b[0], b[1], b[2]
	return w, true
}

// terms are the regressors at a speed and coolant temperature.
func (w Law) terms(v, y float64) [3]float64 {
	if math.IsNaN(v) {
		v = 0
	}
	return [3]float64{1, v, -(y - w.reference)}
}

// Rate predicts the rate in K/s at a speed in m/s (NaN if unknown) and a
// temperature in K.
func (w Law) Rate(v, y float64) float64 {
	x := w.terms(v, y)
	return w.idle*x[0] + w.load*x[1] + w.loss*x[2]
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}
