package clock

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// maxSteps bounds the work: longer recordings are searched on a coarser grid
// first.
const maxSteps = 1500

// searchRange returns the lags, added to x's times to meet y's, that leave
// enough common time.
func searchRange(y, x series.Interval, opts Options, reversed bool) (series.Interval, error) {
	shorter := math.Min(y.Duration(), x.Duration())
	least := math.Max(opts.MinShare*shorter, math.Min(opts.MinOverlap, 0.9*shorter))
	if shorter < 60 {
		return series.Interval{}, fmt.Errorf("%w: the shorter recording lasts only %.0f s", ErrUndecided, shorter)
	}
	r := series.Interval{From: y.From + least - x.To, To: y.To - least - x.From}
	if s := opts.Search; !s.IsEmpty() {
		if reversed {
			s = series.Interval{From: -s.To, To: -s.From}
		}
		r = r.Intersect(s)
	}
	if r.IsEmpty() {
		return r, fmt.Errorf("%w: no offset within the search leaves %.0f s of common time", ErrNoOverlap, least)
	}
	return r, nil
}

func leastSamples(y, x series.Interval, dt float64, opts Options) int {
	shorter := math.Min(y.Duration(), x.Duration())
	return max(8, int(0.6*math.Max(opts.MinShare*shorter, math.Min(opts.MinOverlap, 0.9*shorter))/dt))
}

// evenly returns lags over the range in steps of about step.
func evenly(r series.Interval, step float64) []float64 {
	n := max(2, int(math.Ceil(r.Duration()/step))+1)
	lags := make([]float64, n)
	for i := range lags {
		lags[i] = r.From + r.Duration()*float64(i)/float64(n-1)
	}
	return lags
}

// refine adds lags in steps of fine around those whose log-likelihood lies
// within reach of the best.
func refine(lags, logL []float64, fine, reach float64) []float64 {
	top := math.Inf(-1)
	for _, g := range logL {
		if g > top {
			top = g
		}
	}
	var out []float64
	near := func(i int) bool {
		return i >= 0 && i < len(lags) && logL[i] >= top-reach
	}
	for i, lag := range lags {
		out = append(out, lag)
		if i+1 == len(lags) {
			break
		}
		gap := lags[i+1] - lag
		if near(i-1) || near(i) || near(i+1) || near(i+2) {
			for k := 1; float64(k)*fine < gap-fine/2; k++ {
				out = append(out, lag+float64(k)*fine)
			}
		}
	}
	return out
}
