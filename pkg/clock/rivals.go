package clock

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// rivalRatio is the ratio of a difference in log-likelihood to its own
// standard deviation below which two offsets explain the data about equally.
const rivalRatio = 2.0

// rivals looks for other offsets that the data cannot tell from the best one,
// although their likelihoods may differ by much: the noise of the explaining
// signal is another at every lag, as on two equal laps. The difference is
// weighed against its own scatter from sample to sample (Vuong, Econometrica
// 57 (1989) 307). Offset = sign·lag + base.
func (r Result) rivals(resp *response, noise []float64, lags, logL []float64, sign, base float64) Result {
	best := highest(logL)
	if resp == nil || best < 0 || !(logL[best] > 0) {
		return r
	}
	first := resp.residuals(lags[best], noise)
	lower, upper := r.Offset-r.Interval.From, r.Interval.To-r.Offset
	for _, k := range summits(lags, logL, best) {
		ratio := vuong(first, resp.residuals(lags[k], noise))
		offset := sign*lags[k] + base
		known := slices.ContainsFunc(r.Alternatives, func(a Alternative) bool { return math.Abs(a.Offset-offset) < summitDistance })
		if ratio > rivalRatio || known {
			continue
		}
		r.Alternatives = append(r.Alternatives, Alternative{offset, math.Exp(-ratio * ratio / 2)})
		r.Interval = series.Interval{From: math.Min(r.Interval.From, offset-lower), To: math.Max(r.Interval.To, offset+upper)}
	}
	return r
}

// summitDistance in seconds keeps summits apart: closer ones are one hill.
const summitDistance = 20.0

// summits returns the highest points apart from the best one, highest first,
// that reach at least a third of its log-likelihood.
func summits(lags, logL []float64, best int) []int {
	order := make([]int, 0, len(lags))
	for i, g := range logL {
		if g > logL[best]/3 {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(a, b int) int {
		if logL[a] > logL[b] {
			return -1
		}
		return 1
	})
	found := []int{best}
	for _, i := range order {
		if len(found) > 8 {
			break
		}
		if !slices.ContainsFunc(found, func(k int) bool { return math.Abs(lags[k]-lags[i]) < summitDistance }) {
			found = append(found, i)
		}
	}
	return found[1:]
}

// residuals returns the whitened residuals at one lag, in units of their own
// standard deviation at the best fit there.
func (r *response) residuals(lag float64, noise []float64) []float64 {
	n := len(r.y)
	x, xw, yw := make([]float64, n), make([]float64, n), make([]float64, n)
	r.shifted(x, lag)
	regression.Filter(xw, x, noise)
	regression.Filter(yw, r.y, noise)
	clip(yw)
	b := explained(yw, xw).Coefficient
	return regression.Detrended(yw, xw, b)
}

// vuong returns the mean of log f1 − log f2 over its standard error, for
// Gaussian residuals e1 and e2 with one variance each, over the samples that
// both have. Positive values favour the first.
func vuong(e1, e2 []float64) float64 {
	var s1, s2, n float64
	for i := range e1 {
		if v, w := e1[i], e2[i]; !math.IsNaN(v) && !math.IsNaN(w) {
			s1 += v * v
			s2 += w * w
			n++
		}
	}
	if n < 10 || s1 == 0 || s2 == 0 {
		return math.Inf(1)
	}
	s1, s2 = s1/n, s2/n
	var d []float64
	mean := 0.0
	for i := range e1 {
		if v, w := e1[i], e2[i]; !math.IsNaN(v) && !math.IsNaN(w) {
			x := 0.5 * (math.Log(s2/s1) + w*w/s2 - v*v/s1)
			d = append(d, x)
			mean += x / n
		}
	}
	variance := 0.0
	for _, x := range d {
		variance += (x - mean) * (x - mean) / n
	}
	rho := math.Max(0, series.Autocorrelation(d, 1))
	return mean * math.Sqrt(n) / math.Sqrt(variance*(1+rho)/(1-math.Min(rho, 0.95))+1e-300)
}

// ambiguityText warns of an alternative.
func ambiguityText(a Alternative) string {
	return fmt.Sprintf("an offset of %s explains the data about as well (support %.0f %%); a note of one event on both clocks would settle it", signed(a.Offset), 100*a.Support)
}
