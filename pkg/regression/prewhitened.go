package regression

import (
	"errors"
	"fmt"
	"math"
)

// rounds bounds how often fit and autoregression take turns.
const rounds = 50

// prewhitened fits the rows with an autoregression filtered out, given or
// estimated from the residuals in turns.
func (d *data) prewhitened(opts Options) (Fit, error) {
	if d.weights != nil {
		return Fit{}, fmt.Errorf("regression: weights and prewhitening together: %w: use one of them", ErrInput)
	}
	a := opts.Autoregression
	if a != nil {
		return d.filtered(a)
	}
	f, err := d.filtered([]float64{0})
	for range rounds {
		if err != nil && !errors.Is(err, ErrDependent) {
			return f, err
		}
		before := f.Autoregression
		a = []float64{ResidualCorrelation(f.Residuals, opts.Bias, opts.MaxCorrelation)}
		if opts.Order > 1 {
			a = YuleWalker(f.Residuals, opts.Order).Coefficients
		}
		if near(a, before) {
			break
		}
		f, err = d.filtered(a)
	}
	return f, err
}

func near(a, b []float64) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if math.Abs(a[i]-b[i]) > 1e-10 {
			return false
		}
	}
	return true
}

// filtered is the fit with the coefficients a.
func (d *data) filtered(a []float64) (Fit, error) {
	ratio := gain(a)
	if math.IsInf(ratio, 1) {
		return Fit{}, fmt.Errorf("regression: autoregression %v is not stationary: %w", a, ErrInput)
	}
	w := &data{plainY: d.plainY, plainX: d.plainX, y: make([]float64, len(d.y)), x: make([][]float64, len(d.x))}
	// A row that misses one value misses all: each run begins anew.
	gap := make([]bool, len(d.y))
	for i := range gap {
		gap[i] = true
	}
	for _, i := range d.rows() {
		gap[i] = false
	}
	whitenRuns(w.y, d.y, gap, a)
	for j, c := range d.x {
		w.x[j] = make([]float64, len(c))
		whitenRuns(w.x[j], c, gap, a)
	}
	f, err := w.solve()
	if err != nil && !errors.Is(err, ErrDependent) {
		return f, err
	}
	f.Autoregression, f.inflation = a, 1
	f.DegreesOfFreedom = float64(f.Rows - f.Rank)
	f.innovation = math.Sqrt(f.RSS / f.DegreesOfFreedom)
	if f.DegreesOfFreedom == 0 {
		f.innovation = math.NaN()
	}
	f.Sigma = f.innovation * math.Sqrt(ratio)
	f.Correlation = firstCorrelation(a)
	sum := 1.0
	for _, c := range a {
		sum -= c
	}
	// n rows are worth n·γ₀/Σγ_k, and Σγ_k = σ²/(1−Σa)² of the innovations.
	f.EffectiveRows = float64(f.Rows) * ratio * sum * sum
	return f, err
}

// firstCorrelation returns the correlation of neighbours that the coefficients
// stand for: the last partial correlation of the recursion run backwards.
func firstCorrelation(a []float64) float64 {
	for len(a) > 1 {
		p := len(a)
		k := a[p-1]
		next := make([]float64, p-1)
		for j := range next {
			next[j] = (a[j] + k*a[p-2-j]) / (1 - k*k)
		}
		a = next
	}
	if len(a) == 0 {
		return 0
	}
	return a[0]
}

// whitenRuns filters each run between gaps.
func whitenRuns(out, x []float64, gap []bool, a []float64) {
	for from := 0; from < len(x); {
		if gap[from] {
			out[from] = math.NaN()
			from++
			continue
		}
		to := from
		for to < len(x) && !gap[to] {
			to++
		}
		if len(a) == 1 {
			PraisWinsten(out[from:to], x[from:to], a[0])
		} else {
			Filter(out[from:to], x[from:to], a)
		}
		from = to
	}
}
