package clock

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// Shifting by a lag, with interpolation by weights that are the same
// throughout, and taking out an autoregression are linear and can be exchanged:
// the explaining signal is whitened once for all lags, on its own grid.

// whitened is the explaining signal, differenced over a step of y's grid and
// with the noise's autoregression taken out, on x's own grid.
type whitened struct {
	z    []float64
	gaps []int // number of missing values before each index
	step int   // of y's grid, in cells of x's
	// leading is the index of the first value that is there.
	leading int
}

// whiten returns the explaining signal without the noise's autoregression; ok
// is false where y's step is no multiple of x's.
func (r *response) whiten(noise []float64) (w whitened, ok bool) {
	ratio := r.yGrid.dt / r.x.dt
	step := math.Round(ratio)
	if step < 1 || math.Abs(step-ratio) >= 1e-9 {
		return w, false
	}
	w.step = int(step)
	n := len(r.x.v)
	d := make([]float64, n)
	for j := range d {
		d[j] = math.NaN()
		if j >= w.step {
			d[j] = r.x.v[j] - r.x.v[j-w.step]
		}
	}
	w.z, w.gaps = make([]float64, n), make([]int, n+1)
	for j := range w.z {
		v := d[j]
		for k, c := range noise {
			if at := j - w.step*(k+1); at >= 0 {
				v -= c * d[at]
			} else {
				v = math.NaN()
			}
		}
		w.z[j] = v
		w.gaps[j+1] = w.gaps[j]
		if math.IsNaN(v) {
			w.gaps[j+1]++
		}
	}
	for w.leading < n && math.IsNaN(w.z[w.leading]) {
		w.leading++
	}
	return w, true
}

// sums are those of [regression.TrendMoments] that no lag changes, and those of
// the rival.
type sums struct{ n, u, u2, u3, u4, y, uy, u2y, yy, e, ue, u2e, ee float64 }

// samples are the whitened ones of y that are there, with sums from the first
// one on of what no lag changes.
type samples struct {
	row   []int     // place on y's grid
	u, u2 []float64 // trend
	y     []float64
	e     []float64 // y by itself, the rival
	upTo  []sums
}

func newSamples(y, e []float64) *samples {
	n := len(y)
	s := &samples{row: make([]int, 0, n), u: make([]float64, 0, n), u2: make([]float64, 0, n), y: make([]float64, 0, n), e: make([]float64, 0, n), upTo: make([]sums, 1, n+1)}
	scale := 2 / float64(n)
	var m sums
	for i, v := range y {
		o := e[i]
		if math.IsNaN(v) || math.IsNaN(o) {
			continue
		}
		u := float64(i)*scale - 1
		u2 := u * u
		s.row, s.u, s.u2, s.y, s.e = append(s.row, i), append(s.u, u), append(s.u2, u2), append(s.y, v), append(s.e, o)
		m.n, m.u, m.u2, m.u3, m.u4 = m.n+1, m.u+u, m.u2+u2, m.u3+u2*u, m.u4+u2*u2
		m.y, m.uy, m.u2y, m.yy = m.y+v, m.uy+u*v, m.u2y+u2*v, m.yy+v*v
		m.e, m.ue, m.u2e, m.ee = m.e+o, m.ue+u*o, m.u2e+u2*o, m.ee+o*o
		s.upTo = append(s.upTo, m)
	}
	return s
}

// between returns the sums over the samples from i to j, for y and for the
// rival.
func (s *samples) between(i, j int) (y, e regression.TrendMoments) {
	a, b := &s.upTo[i], &s.upTo[j]
	y = regression.TrendMoments{N: b.n - a.n, U: b.u - a.u, U2: b.u2 - a.u2, U3: b.u3 - a.u3, U4: b.u4 - a.u4,
		Y: b.y - a.y, UY: b.uy - a.uy, U2Y: b.u2y - a.u2y, YY: b.yy - a.yy}
	e = y
	e.Y, e.UY, e.U2Y, e.YY = b.e-a.e, b.ue-a.ue, b.u2e-a.u2e, b.ee-a.ee
	return y, e
}

// fits explains y by the signal shifted by a lag, and gives the trend of the
// rival over the same samples. ok is false where the signal has a gap among
// them, so that the sums do not serve.
func (r *response) fits(s *samples, w whitened, lag float64) (f, rival regression.TrendFit, ok bool) {
	start := (r.yGrid.t0 - lag - r.x.t0) / r.x.dt
	first := int(math.Floor(start))
	part := start - float64(first)
	// The signal is there from its first whitened value to its last but one.
	from, to := 0, len(s.row)
	for from < to && first+w.step*s.row[from] < w.leading {
		from++
	}
	for from < to && first+w.step*s.row[to-1]+1 >= len(w.z) {
		to--
	}
	if from == to {
		return f, rival, true
	}
	if lo, hi := first+w.step*s.row[from], first+w.step*s.row[to-1]+2; w.gaps[hi] > w.gaps[lo] {
		return f, rival, false
	}
	m, e := s.between(from, to)
	var x, ux, u2x, xx, xy float64
	row, u, u2, y := s.row[from:to], s.u[from:to], s.u2[from:to], s.y[from:to]
	for i, k := range row {
		at := first + w.step*k
		v := w.z[at] + part*(w.z[at+1]-w.z[at])
		x += v
		ux += u[i] * v
		u2x += u2[i] * v
		xx += v * v
		xy += v * y[i]
	}
	m.X, m.UX, m.U2X, m.XX, m.XY = x, ux, u2x, xx, xy
	return onlyPositive(m.Fit()), e.Fit(), true
}
