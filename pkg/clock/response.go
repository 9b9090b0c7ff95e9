package clock

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// sampled is a signal on an even grid: value i belongs to time t0 + i·dt.
type sampled struct {
	t0, dt float64
	v      []float64
}

// onGrid averages s over bins of dt seconds; an empty bin is interpolated
// where no gap longer than maxGap is bridged, and missing elsewhere.
func onGrid(s *series.Series, dt, maxGap float64) sampled {
	span := s.Interval()
	g := sampled{t0: math.Floor(span.From/dt) * dt, dt: dt}
	n := int((span.To-g.t0)/dt) + 1
	sum, count := make([]float64, n), make([]int, n)
	for i, t := range s.Time {
		if k := int(math.Round((t - g.t0) / dt)); k >= 0 && k < n && !math.IsNaN(s.Value[i]) {
			sum[k] += s.Value[i]
			count[k]++
		}
	}
	times := make([]float64, n)
	for k := range times {
		times[k] = g.t0 + float64(k)*dt
	}
	g.v = s.Resample(times, math.Max(maxGap, 2*dt)).Value
	for k := range g.v {
		if count[k] > 1 {
			g.v[k] = sum[k] / float64(count[k])
		}
	}
	return g
}

// at returns the linearly interpolated value at time t; NaN outside.
func (g sampled) at(t float64) float64 {
	p := (t - g.t0) / g.dt
	i := int(math.Floor(p))
	if i < 0 || i >= len(g.v) {
		return math.NaN()
	}
	f := p - float64(i)
	if f < 1e-9 {
		return g.v[i]
	}
	if i+1 >= len(g.v) {
		return math.NaN()
	}
	return g.v[i] + f*(g.v[i+1]-g.v[i])
}

// response is one signal on each clock: y is explained by x, shifted by a lag.
type response struct {
	y     []float64 // differenced, on the grid
	yGrid sampled
	x     sampled // not differenced
	order int     // most autoregressive terms
}

// shifted writes the differences of x(t − lag) at y's times into out. Both
// grids are even, so that the interpolation's weights are the same throughout.
func (r *response) shifted(out []float64, lag float64) {
	start := (r.yGrid.t0 - lag - r.x.t0) / r.x.dt
	ratio := r.yGrid.dt / r.x.dt
	before := math.NaN()
	if step := math.Round(ratio); math.Abs(step-ratio) < 1e-9 {
		j := int(math.Floor(start))
		f := start - float64(j)
		for i := range out {
			v := math.NaN()
			if j >= 0 && j+1 < len(r.x.v) {
				v = r.x.v[j] + f*(r.x.v[j+1]-r.x.v[j])
			}
			out[i] = v - before
			before = v
			j += int(step)
		}
		return
	}
	for i := range out {
		v := r.x.at(r.yGrid.t0 + float64(i)*r.yGrid.dt - lag)
		out[i] = v - before
		before = v
	}
}

// alone is y by itself: without its own noise, and ready for sums.
type alone struct {
	e       []float64
	samples *samples
}

func newAlone(y, null []float64) alone {
	e := make([]float64, len(y))
	regression.Filter(e, y, null)
	clip(e)
	return alone{e, newSamples(e, e)}
}

// logLikelihoods returns, for each lag, the log-likelihood of y explained by x
// at that lag less that of y by itself. Both have autoregressive noise of
// their own: null fitted to y, the other to the residuals at the best lag. It
// is NaN where the common samples are fewer than least.
func (r *response) logLikelihoods(lags []float64, null []float64, own alone, least int) (g []float64, noise []float64) {
	n := len(r.y)
	noise = null
	yw, s := own.e, own.samples
	x, xw := make([]float64, n), make([]float64, n)
	for again := range 2 {
		if again > 0 {
			yw = make([]float64, n)
			regression.Filter(yw, r.y, noise)
			clip(yw)
			s = newSamples(yw, own.e)
		}
		g = r.gains(lags, noise, own.e, yw, s, least)
		best := highest(g)
		if best < 0 || !(g[best] > 0) {
			return g, noise
		}
		r.shifted(x, lags[best])
		regression.Filter(xw, x, noise)
		rest := regression.Detrended(r.y, x, explained(yw, xw).Coefficient)
		noise = regression.YuleWalker(rest, r.order).Coefficients
	}
	return g, noise
}

// firstLook is logLikelihoods with the noise of y by itself: enough to see
// where a closer look is worth it.
func (r *response) firstLook(lags []float64, null []float64, own alone, least int) []float64 {
	return r.gains(lags, null, own.e, own.e, own.samples, least)
}

// gains compares, for each lag, the relation with the rival e0, y by itself,
// over the samples that both have; yw is y without the noise, s both ready for
// sums.
func (r *response) gains(lags, noise, e0, yw []float64, s *samples, least int) []float64 {
	g := make([]float64, len(lags))
	w, quick := r.whiten(noise)
	var x, xw []float64
	for k, lag := range lags {
		var f, rival regression.TrendFit
		done := false
		if quick {
			f, rival, done = r.fits(s, w, lag)
		}
		if !done {
			if x == nil {
				x, xw = make([]float64, len(r.y)), make([]float64, len(r.y))
			}
			r.shifted(x, lag)
			regression.Filter(xw, x, noise)
			for i := range xw { // both noises have an order of their own: the same samples for both
				if math.IsNaN(e0[i]) || math.IsNaN(yw[i]) {
					xw[i] = math.NaN()
				}
			}
			f, rival = explained(yw, xw), explained(e0, xw)
		}
		g[k] = math.NaN()
		if f.Rows >= least {
			g[k] = float64(f.Rows-4-r.order) / 2 * math.Log(rival.RSSTrend/f.RSS)
		}
	}
	return g
}

// explained fits y on a trend and x. Only a positive coefficient counts: a
// negative one explains nothing.
func explained(y, x []float64) regression.TrendFit {
	return onlyPositive(regression.OnTrend(y, x))
}

func onlyPositive(f regression.TrendFit) regression.TrendFit {
	if !(f.Coefficient > 0) {
		f.Coefficient, f.RSS = 0, f.RSSTrend
	}
	return f
}
