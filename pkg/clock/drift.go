package clock

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// driftWindow is the least length in seconds of the windows whose offsets show
// a drift, and driftWindows the most of them.
const (
	driftWindow  = 900.0
	driftWindows = 12
)

// estimateDrift adds the drift to an offset of a shared quantity, if the
// common time is long enough for the data to say more than what quartz clocks
// are known to do: the offset is found anew in windows along the drive, and a
// straight line is fitted through them. Both series count from their own
// starts, which lie between seconds apart.
func estimateDrift(r Result, a, b *series.Series, between, step float64, opts Options) Result {
	lag := r.Offset + between
	common := a.Interval().Intersect(series.Interval{From: b.Interval().From + lag, To: b.Interval().To + lag})
	n := int(math.Min(driftWindows, common.Duration()/driftWindow))
	if len(r.Alternatives) > 0 || n < 4 {
		return r
	}
	var t, offset, weight []float64
	reach := math.Max(3*step, driftPrior*common.Duration()+3*statistical(r, opts))
	for k := range n {
		length := common.Duration() / float64(n)
		from := common.From - lag + float64(k)*length // on b's clock
		window := series.Interval{From: from, To: from + length}
		x, u, ok := windowOffset(a, b, window, lag, reach, step, opts)
		if ok {
			t, offset, weight = append(t, from+length/2), append(offset, x), append(weight, 1/(u*u))
		}
	}
	if len(t) < 4 {
		return r
	}
	l := fitOffsets(t, offset, weight)
	// Student's t for few windows, and the scatter where it exceeds what each
	// window claims.
	free := float64(len(t) - 2)
	inflate := math.Sqrt(math.Max(1, l.chi2/free)) * (1 + 2.5/free)
	half := 1.96 * inflate * l.uDrift
	if half > driftPrior {
		return r
	}
	r.Drift, r.DriftEstimated = l.drift, true
	r.DriftInterval = series.Interval{From: l.drift - half, To: l.drift + half}
	r.Offset = l.offset - between
	half = 1.96 * math.Hypot(inflate*l.uOffset, opts.Delay)
	r.Interval = series.Interval{From: r.Offset - half, To: r.Offset + half}
	r.Origin = r.Origin.Add(seconds(l.origin))
	return r
}

// windowOffset finds the lag in one window of b's clock: mean and standard
// deviation of the likelihood taken as a density.
func windowOffset(a, b *series.Series, window series.Interval, lag, reach, step float64, opts Options) (mean, deviation float64, ok bool) {
	part := b.Slice(window)
	around := a.Slice(series.Interval{From: window.From + lag - reach - 30, To: window.To + lag + reach + 30})
	if part.Present() < 100 || around.Present() < 100 {
		return 0, 0, false
	}
	lags := evenly(series.Interval{From: lag - reach, To: lag + reach}, step/8)
	logL := sharedLikelihood(around, part, lags, step, opts)
	if best := highest(logL); best < 0 || !(logL[best] > 10) {
		return 0, 0, false
	}
	weight := make([]float64, len(logL))
	regression.Normalise(weight, logL)
	var second float64
	for i, w := range weight {
		mean += w * lags[i]
		second += w * lags[i] * lags[i]
	}
	// Interpolation between samples shifts the peak by up to about a tenth of
	// a step.
	deviation = math.Hypot(math.Sqrt(math.Max(0, second-mean*mean)), step/10)
	return mean, deviation, true
}

// statistical returns the standard uncertainty of the offset without the
// devices' own delays.
func statistical(r Result, opts Options) float64 {
	half := math.Max(r.Offset-r.Interval.From, r.Interval.To-r.Offset) / 1.96
	return math.Sqrt(math.Max(0, half*half-opts.Delay*opts.Delay))
}
