package clock

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// FromSharedQuantity estimates the offset between two recordings of one
// quantity: the same speed by two devices, the same air by two probes. Scale
// and level may differ, the sign may not.
//
// The second is regressed on the shifted first in differences, with
// autoregressive noise; every offset is weighed by its likelihood. The drift
// is estimated where the common time is long enough to see one.
func FromSharedQuantity(first, second *series.Series, opts Options) (Result, error) {
	failed := Result{Method: SharedQuantity, Offset: math.NaN()}
	if first.Dimension != second.Dimension {
		return failed, fmt.Errorf("clock.FromSharedQuantity: %q is a %v but %q is a %v", first.Name, first.Dimension, second.Name, second.Dimension)
	}
	base := first.Start
	a, b := first, second.Shift(0)
	b.Start = base // both count from their own start; the difference is added at the end
	if a.Present() < 30 || b.Present() < 30 {
		return failed, fmt.Errorf("%w: fewer than 30 values in %q or %q", ErrUndecided, first.Name, second.Name)
	}
	between := second.Start.Sub(first.Start).Seconds()
	local := opts
	if !opts.Search.IsEmpty() {
		local.Search = series.Interval{From: opts.Search.From + between, To: opts.Search.To + between}
	}
	span, err := searchRange(a.Interval(), b.Interval(), local, false)
	if err != nil {
		return failed, err
	}
	step := math.Max(a.Step(), b.Step())
	longest := math.Max(a.Interval().Duration(), b.Interval().Duration())
	coarse := math.Max(step, longest/maxSteps)
	lags := evenly(span, coarse/2)
	logL := sharedLikelihood(a, b, lags, coarse, local)
	fine := math.Max(step/4, 0.05)
	if coarse > step { // the coarse grid shows where to look, not how well
		lags, logL = near(lags, logL, coarse)
		lags = evenly(series.Interval{From: lags[0], To: lags[len(lags)-1]}, step/2)
		logL = sharedLikelihood(a, b, lags, step, local)
	}
	lags = refine(lags, logL, fine, 12)
	logL = sharedLikelihood(a, b, lags, step, local)
	r, err := weigh(shifted(lags, -between), logL, opts, Result{Method: SharedQuantity, Origin: second.Start})
	if err == nil {
		r = estimateDrift(r, a, b, between, step, local)
	}
	return r, err
}

// sharedLikelihood weighs the lags that are added to b's times: a explains b.
func sharedLikelihood(a, b *series.Series, lags []float64, dt float64, opts Options) []float64 {
	grid := onGrid(b, dt, opts.MaxGap)
	r := &response{y: differences(grid.v), yGrid: grid, x: onGrid(a, dt, opts.MaxGap), order: 8}
	reversed := make([]float64, len(lags)) // x is a, and is shifted onto b
	for i, lag := range lags {
		reversed[i] = -lag
	}
	g, _ := r.logLikelihoods(reversed, autoregression(r.y, r.order), leastSamples(b.Interval(), a.Interval(), dt, opts))
	return g
}

// near keeps the lags from the first to the last that is anywhere near the best
// in likelihood, and a minute on either side.
func near(lags, logL []float64, step float64) ([]float64, []float64) {
	best := -1
	for i, g := range logL {
		if !math.IsNaN(g) && (best < 0 || g > logL[best]) {
			best = i
		}
	}
	if best < 0 {
		return lags, logL
	}
	lo, hi := best, best
	for i, g := range logL {
		if g > logL[best]-12 {
			lo, hi = min(lo, i), max(hi, i)
		}
	}
	margin := int(60/step) + 2
	lo, hi = max(0, lo-margin), min(len(lags)-1, hi+margin)
	return lags[lo : hi+1], logL[lo : hi+1]
}

// shifted returns x with d added.
func shifted(x []float64, d float64) []float64 {
	y := make([]float64, len(x))
	for i := range x {
		y[i] = x[i] + d
	}
	return y
}
