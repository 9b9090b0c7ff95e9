package regression

import (
	"errors"
	"fmt"
	"math"
)

var (
	// ErrInput is wrapped by errors about rows and columns that can't be
	// fitted.
	ErrInput = errors.New("unsuitable data for a regression")
	// ErrDependent is wrapped where a column is a combination of those before
	// it, so that the data give no coefficient of its own.
	ErrDependent = errors.New("a column depends on those before it")
)

// dependence is the part of a column, as a share of its length, below which
// it counts as a combination of those before it.
const dependence = 1e-9

// LeastSquares fits y = Σ coefficient·column by QR decomposition. All columns
// are as long as y; pass a column of ones for a constant term ([Ones]). Rows
// with a NaN in y or a column are left out.
//
// The error wraps ErrInput where lengths differ, a value is infinite, a weight
// is not above 0, an option is out of range, an autoregression is not
// stationary, or fewer rows than columns are left. It wraps ErrDependent where columns depend on those before
// them; then the fit is that without them, and their coefficients are 0 with a
// covariance of NaN.
func LeastSquares(y []float64, columns [][]float64, opts Options) (Fit, error) {
	d, err := newData(y, columns, opts)
	if err != nil {
		return Fit{}, err
	}
	if opts.Noise == Prewhitened {
		return d.prewhitened(opts)
	}
	f, err := d.solve()
	if err != nil && !errors.Is(err, ErrDependent) {
		return f, err
	}
	f.inflation = 1
	f.EffectiveRows = float64(f.Rows)
	f.DegreesOfFreedom = float64(f.Rows - f.Rank)
	f.Sigma = math.Sqrt(f.RSS / f.DegreesOfFreedom)
	if f.DegreesOfFreedom == 0 {
		f.Sigma = math.NaN()
	}
	if opts.Noise == EffectiveSize {
		f.Correlation = ResidualCorrelation(f.Residuals, opts.Bias, opts.MaxCorrelation)
		f.inflation = (1 + f.Correlation) / (1 - f.Correlation)
		f.EffectiveRows = float64(f.Rows) / f.inflation
		f.DegreesOfFreedom = math.Max(1, f.EffectiveRows-float64(f.Rank))
	}
	f.innovation = f.Sigma
	return f, err
}

// data are the rows of a regression as they are solved: weighted or whitened,
// NaN where a row is left out.
type data struct {
	y, plainY []float64
	x, plainX [][]float64
	weights   []float64
}

func newData(y []float64, columns [][]float64, opts Options) (*data, error) {
	n := len(y)
	if len(columns) == 0 {
		return nil, fmt.Errorf("regression: no column: %w: at least one is needed", ErrInput)
	}
	if opts.Weights != nil && len(opts.Weights) != n {
		return nil, fmt.Errorf("regression: %d weights for %d rows: %w", len(opts.Weights), n, ErrInput)
	}
	for j, c := range columns {
		if len(c) != n {
			return nil, fmt.Errorf("regression: column %d has %d rows, y has %d: %w", j, len(c), n, ErrInput)
		}
		for i, v := range c {
			if math.IsInf(v, 0) {
				return nil, fmt.Errorf("regression: column %d, row %d is %v: %w", j, i, v, ErrInput)
			}
		}
	}
	for i, v := range y {
		if math.IsInf(v, 0) {
			return nil, fmt.Errorf("regression: y in row %d is %v: %w", i, v, ErrInput)
		}
	}
	for i, w := range opts.Weights {
		if !(w > 0) || math.IsInf(w, 1) {
			return nil, fmt.Errorf("regression: weight %v of row %d: %w: weights are above 0", w, i, ErrInput)
		}
	}
	if err := opts.check(); err != nil {
		return nil, err
	}
	d := &data{plainY: y, plainX: columns, y: y, x: columns, weights: opts.Weights}
	if d.weights != nil {
		d.y = d.weighted(y)
		d.x = make([][]float64, len(columns))
		for j, c := range columns {
			d.x[j] = d.weighted(c)
		}
	}
	return d, nil
}

func (d *data) weighted(x []float64) []float64 {
	w := make([]float64, len(x))
	for i, v := range x {
		w[i] = v * math.Sqrt(d.weights[i])
	}
	return w
}
