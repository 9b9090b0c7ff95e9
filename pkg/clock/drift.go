package clock

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// estimateDrift adds the drift to an offset of a shared quantity, if the
// common time is long enough for the data to say more than what quartz clocks
// are known to do. Both series count from their own starts, which lie between
// seconds apart.
func estimateDrift(r Result, a, b *series.Series, between, step float64, opts Options) Result {
	lag := r.Offset + between
	common := a.Interval().Intersect(series.Interval{From: b.Interval().From + lag, To: b.Interval().To + lag})
	if len(r.Alternatives) > 0 || common.IsEmpty() {
		return r
	}
	own := math.Max(statistical(r, opts), step/20)
	expected := own * math.Sqrt(12) / common.Duration()
	if 1.96*expected > driftPrior {
		return r
	}
	middle := (common.From+common.To)/2 - lag
	var drifts []float64
	reach := 2 * driftPrior
	n := int(math.Min(200, math.Max(20, 2*reach/(expected/2))))
	for k := -n / 2; k <= n/2; k++ {
		drifts = append(drifts, reach*float64(k)/float64(n/2))
	}
	lags := evenly(series.Interval{From: lag - 6*own - step/4, To: lag + 6*own + step/4}, math.Max(own/2, step/20))
	logL := make([]float64, len(drifts))
	bestOffset := make([]float64, len(drifts))
	for i, drift := range drifts {
		g := sharedLikelihood(a, stretched(b, drift, middle), lags, step, opts)
		logL[i] = logMeanExp(g)
		best := 0
		for k := range g {
			if g[k] > g[best] || math.IsNaN(g[best]) {
				best = k
			}
		}
		bestOffset[i] = lags[best]
	}
	best, mass, total := 0, make([]float64, len(drifts)), 0.0
	for i := range logL {
		if logL[i] > logL[best] {
			best = i
		}
	}
	for i := range logL {
		mass[i] = math.Exp(logL[i] - logL[best])
		total += mass[i]
	}
	lo, hi := densest(drifts, logL, mass, widths(drifts), 0.95*total)
	if hi-lo > 2*driftPrior {
		return r
	}
	r.Drift, r.DriftEstimated = drifts[best], true
	r.DriftInterval = series.Interval{From: lo, To: hi}
	shift := bestOffset[best] - between - r.Offset
	r.Offset += shift
	r.Interval.From += shift
	r.Interval.To += shift
	r.Origin = r.Origin.Add(seconds(middle))
	return r
}

// statistical returns the standard uncertainty of the offset without the
// devices' own delays.
func statistical(r Result, opts Options) float64 {
	half := math.Max(r.Offset-r.Interval.From, r.Interval.To-r.Offset) / 1.96
	return math.Sqrt(math.Max(0, half*half-opts.Delay*opts.Delay))
}

// stretched returns s with its clock running faster by drift about middle.
func stretched(s *series.Series, drift, middle float64) *series.Series {
	t := make([]float64, len(s.Time))
	for i, x := range s.Time {
		t[i] = x + drift*(x-middle)
	}
	return &series.Series{Name: s.Name, Dimension: s.Dimension, Start: s.Start, Time: t, Value: s.Value}
}
