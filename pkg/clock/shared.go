package clock

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// FromSharedQuantity estimates the offset between two recordings of one
// quantity: the same speed by two devices, the same air by two probes. Scale
// and level may differ, the sign may not.
//
// The second is regressed on the shifted first in differences, with
// autoregressive noise; every offset is weighed by its likelihood. The drift
// is estimated where the common time is long enough to see one.
//
// The error wraps [ErrUndecided] where the data do not tell or one series has
// fewer than 30 values, [ErrNoOverlap] where no offset leaves enough common
// time. It also fails where the two are different quantities.
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
		lags = near(lags, logL, step/2)
		if len(lags) < 2 {
			return failed, fmt.Errorf("%w: there is less than %.0f s of common time at every offset", ErrUndecided, local.MinOverlap)
		}
		logL = sharedLikelihood(a, b, lags, step, local)
	}
	lags = refine(lags, logL, fine, 12)
	logL = sharedLikelihood(a, b, lags, step, local)
	r, err := weigh(shifted(lags, -between), logL, span.Duration(), opts, Result{Method: SharedQuantity, Origin: second.Start})
	if err != nil {
		return r, err
	}
	resp, reversed := sharedResponse(a, b, lags, step, local)
	null := regression.YuleWalker(resp.y, resp.order).Coefficients
	_, noise := resp.logLikelihoods(reversed, null, newAlone(resp.y, null), 8)
	r = r.rivals(resp, noise, reversed, logL, -1, -between)
	if r, err = r.judged(opts); err == nil {
		r = estimateDrift(r, a, b, between, step, local)
	}
	return r, err
}

// sharedResponse makes b the response to a; the lags, added to b's times,
// shift a the other way.
func sharedResponse(a, b *series.Series, lags []float64, dt float64, opts Options) (*response, []float64) {
	grid := onGrid(b, dt, opts.MaxGap)
	reversed := make([]float64, len(lags))
	for i, lag := range lags {
		reversed[i] = -lag
	}
	return &response{y: differences(grid.v), yGrid: grid, x: onGrid(a, dt, opts.MaxGap), order: 8}, reversed
}

// sharedLikelihood weighs the lags that are added to b's times: a explains b.
func sharedLikelihood(a, b *series.Series, lags []float64, dt float64, opts Options) []float64 {
	r, reversed := sharedResponse(a, b, lags, dt, opts)
	null := regression.YuleWalker(r.y, r.order).Coefficients
	g, _ := r.logLikelihoods(reversed, null, newAlone(r.y, null), leastSamples(b.Interval(), a.Interval(), dt, opts))
	return g
}

// near returns lags in steps of fine within a minute of every lag that reaches
// a third of the best one's log-likelihood on a coarse grid.
func near(lags, logL []float64, fine float64) []float64 {
	top := math.Inf(-1)
	for _, g := range logL {
		if g > top {
			top = g
		}
	}
	var out []float64
	to := math.Inf(-1)
	for i, g := range logL {
		if !(g >= top/3 && g > 0) && g != top {
			continue
		}
		from := math.Max(lags[0], math.Max(lags[i]-60, to))
		to = math.Min(lags[len(lags)-1], lags[i]+60)
		for x := from; x < to; x += fine {
			if len(out) == 0 || x > out[len(out)-1] {
				out = append(out, x)
			}
		}
	}
	return out
}

// shifted returns x with d added.
func shifted(x []float64, d float64) []float64 {
	y := make([]float64, len(x))
	for i := range x {
		y[i] = x[i] + d
	}
	return y
}
