package thermostat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// warmup predicts how the coolant's temperature would change with the
// thermostat closed: dT/dt = idle + load·v² + … − loss·(T − T₀). The
// coefficients are fitted to the drive's own warm-up and kept at or above
// zero, so that a light load predicts a shelf and a heavy one a rise.
type warmup struct {
	idle, load, loss float64
	reference        float64
}

// fitWarmup fits bins [lo, hi) of a trace with the speed (nil if unknown) at
// the same bins.
func fitWarmup(tr *trace, speed []float64, lo, hi int) (warmup, bool) {
	w := warmup{reference: tr.y[lo]}
	// Rates over half a minute: long enough to see 1 K steps.
	span := max(2, int(30/tr.step))
	var idle, load, loss, rates []float64
	for i := lo; i+span < hi; i += max(1, span/2) {
		dt := tr.t[i+span] - tr.t[i]
		if dt > 2*float64(span)*tr.step {
			continue
		}
		rates = append(rates, (tr.y[i+span]-tr.y[i])/dt)
		x := w.terms(meanOf(speed, i, i+span), meanOf(tr.y, i, i+span))
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
func (w warmup) terms(v, y float64) [3]float64 {
	if math.IsNaN(v) {
		v = 0
	}
	return [3]float64{1, v, -(y - w.reference)}
}

// rate predicts the rate in K/s.
func (w warmup) rate(v, y float64) float64 {
	x := w.terms(v, y)
	return w.idle*x[0] + w.load*x[1] + w.loss*x[2]
}

func meanOf(x []float64, a, b int) float64 {
	if x == nil || a >= b {
		return math.NaN()
	}
	sum := 0.0
	for _, v := range x[a:b] {
		sum += v
	}
	return sum / float64(b-a)
}
