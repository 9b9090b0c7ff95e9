package thermostat

import "math"

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
	var rows [][3]float64
	var rates []float64
	for i := lo; i+span < hi; i += max(1, span/2) {
		dt := tr.t[i+span] - tr.t[i]
		if dt > 2*float64(span)*tr.step {
			continue
		}
		rates = append(rates, (tr.y[i+span]-tr.y[i])/dt)
		rows = append(rows, w.terms(meanOf(speed, i, i+span), meanOf(tr.y, i, i+span)))
	}
	if len(rates) < 4 {
		return w, false
	}
	b := nonNegative(rows, rates, speed != nil)
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

// nonNegative solves the least-squares problem with all coefficients at or
// above zero by trying each subset of the three columns.
func nonNegative(rows [][3]float64, y []float64, withSpeed bool) [3]float64 {
	var best [3]float64
	least := math.Inf(1)
	for set := 1; set < 8; set++ {
		if !withSpeed && set&2 != 0 {
			continue
		}
		b, ok := solveSubset(rows, y, set)
		if !ok || b[0] < 0 || b[1] < 0 || b[2] < 0 {
			continue
		}
		rss := 0.0
		for i, r := range rows {
			e := y[i] - b[0]*r[0] - b[1]*r[1] - b[2]*r[2]
			rss += e * e
		}
		if rss < least {
			least, best = rss, b
		}
	}
	return best
}

// solveSubset solves the normal equations of the columns in set by Gauss
// elimination with the pivot in place.
func solveSubset(rows [][3]float64, y []float64, set int) (b [3]float64, ok bool) {
	var cols []int
	for j := range 3 {
		if set>>j&1 == 1 {
			cols = append(cols, j)
		}
	}
	k := len(cols)
	var a [3][4]float64
	for i, r := range rows {
		for p := range k {
			for q := range k {
				a[p][q] += r[cols[p]] * r[cols[q]]
			}
			a[p][k] += r[cols[p]] * y[i]
		}
	}
	for p := range k {
		if math.Abs(a[p][p]) < 1e-9 {
			return b, false
		}
		for q := p + 1; q < k; q++ {
			f := a[q][p] / a[p][p]
			for c := p; c <= k; c++ {
				a[q][c] -= f * a[p][c]
			}
		}
	}
	for p := k - 1; p >= 0; p-- {
		v := a[p][k]
		for q := p + 1; q < k; q++ {
			v -= a[p][q] * b[cols[q]]
		}
		b[cols[p]] = v / a[p][p]
	}
	return b, true
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
