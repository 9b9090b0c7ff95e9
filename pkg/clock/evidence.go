package clock

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/internal/parallel"
	"github.com/bonnetbook/bonnetbook/pkg/regression"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// evidence holds the log-likelihoods of several models over one set of
// offsets.
type evidence struct {
	offset []float64
	models [][]float64
	// The model that explains most, its noise, and how far the starts of the
	// two recordings lie apart.
	best    *response
	noise   []float64
	top     float64
	between float64
	length  float64 // of the range of offsets that were looked at
}

// average returns the log of the models' mean likelihood at each offset.
func (e *evidence) average() []float64 {
	out := make([]float64, len(e.offset))
	column := make([]float64, len(e.models))
	for i := range out {
		seen := false
		for k, m := range e.models {
			column[k] = m[i]
			seen = seen || !math.IsNaN(m[i])
		}
		out[i] = math.NaN()
		if seen {
			out[i] = regression.LogMeanExp(column)
		}
	}
	return out
}

// scan looks at every lag with a few of the models and returns the lags that
// are worth the whole bank: those near one that reaches a third of the best.
func scan(bank []*response, lags, null []float64, own alone, least int, dt float64) []float64 {
	var few []*response
	for i := 0; i < len(bank); i += scanStride {
		few = append(few, bank[i])
	}
	best := make([]float64, len(lags))
	for i := range best {
		best[i] = math.NaN()
	}
	for _, g := range each(few, func(r *response) []float64 { return r.firstLook(lags, null, own, least) }) {
		for i, v := range g {
			if !math.IsNaN(v) && !(best[i] >= v) {
				best[i] = v
			}
		}
	}
	if kept := near(lags, best, dt); len(kept) > 1 {
		return kept
	}
	return lags
}

// scanStride picks every third model of the bank: all half-way speeds, time
// constants and probe lags occur among them.
const scanStride = 3

// each calls f for every model on all processors and returns the results in
// the bank's order.
func each(bank []*response, f func(*response) []float64) [][]float64 {
	out := make([][]float64, len(bank))
	parallel.Each(len(bank), func(i int) { out[i] = f(bank[i]) })
	return out
}

// sharpen repeats the search in steps of 1 s where the models' average is near
// its best. Models that explain little are interpolated.
func (e *evidence) sharpen(bank []*response, null []float64, own alone, least int) {
	average := e.average()
	lags := refine(e.offset, average, 1, 12)
	top := math.Inf(-1)
	for _, g := range average {
		if g > top {
			top = g
		}
	}
	index := map[*response]int{}
	noises := make([][]float64, len(bank))
	for k, r := range bank {
		index[r] = k
	}
	e.models = each(bank, func(r *response) []float64 {
		k := index[r]
		useful := false
		for _, g := range e.models[k] {
			useful = useful || g > top-12
		}
		if useful {
			var g []float64
			g, noises[k] = r.logLikelihoods(lags, null, own, least)
			return g
		}
		s := series.Series{Time: e.offset, Value: e.models[k]}
		return s.Resample(lags, math.Inf(1)).Value
	})
	e.offset = lags
	for k, m := range e.models {
		for _, v := range m {
			if noises[k] != nil && v > e.top {
				e.top, e.best, e.noise = v, bank[k], noises[k]
			}
		}
	}
}
