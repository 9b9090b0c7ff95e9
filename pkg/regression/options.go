package regression

import "fmt"

// Noise says how the errors of neighbouring rows go together. Rows are in the
// order in which they were measured, evenly spaced.
type Noise int

// The kinds of noise.
const (
	// Independent errors: each row is a piece of evidence of its own.
	Independent Noise = iota
	// EffectiveSize fits as if the errors were independent, then widens the
	// covariance by (1+r)/(1−r), where r is the residuals' correlation with
	// their neighbours: n rows are worth n·(1−r)/(1+r) independent ones
	// (Bayley & Hammersley 1946, Supplement to the Journal of the Royal
	// Statistical Society 8, 184–197).
	EffectiveSize
	// Prewhitened filters the autoregression of the errors out of y and all
	// columns before the fit (generalised least squares). With one term the
	// first row of a run is kept, scaled (Prais & Winsten 1954); with more
	// terms the first rows of a run only serve those after them.
	Prewhitened
)

// Options say how LeastSquares treats the errors. Start from
// [DefaultOptions].
type Options struct {
	Noise Noise
	// Weights of the rows, proportional to 1/variance; nil: all alike.
	Weights []float64
	// Autoregression, for Prewhitened, gives the coefficients of the errors'
	// autoregression; nil: estimated from the residuals, fit and estimate
	// taking turns (Cochrane & Orcutt 1949).
	Autoregression []float64
	// Order is how many terms an estimated autoregression has at most. One
	// term is the residuals' correlation; more are chosen by [YuleWalker].
	Order int
	// Bias is what the fit takes off the residuals' correlation, times the
	// number of rows; it is given back. A level and a slope take about 2 off
	// weakly correlated errors (Kendall 1954, Biometrika 41, 403–404, has
	// 1 + 3r for a level alone).
	Bias float64
	// MaxCorrelation bounds the residuals' correlation: closer to 1 the rows
	// say next to nothing and the estimate of r even less.
	MaxCorrelation float64
}

// DefaultOptions returns the settings for independent errors; those for other
// Noise suit a few columns.
func DefaultOptions() Options {
	return Options{Noise: Independent, Order: 1, Bias: 2, MaxCorrelation: 0.9}
}

// check refuses options that would quietly take the errors as independent.
func (o Options) check() error {
	switch {
	case o.Noise < Independent || o.Noise > Prewhitened:
		return fmt.Errorf("regression: noise %d: %w: use one of the kinds", o.Noise, ErrInput)
	case o.Noise == Independent || o.Autoregression != nil:
		return nil
	case !(o.MaxCorrelation > 0 && o.MaxCorrelation < 1):
		return fmt.Errorf("regression: MaxCorrelation %v: %w: it lies between 0 and 1; start from DefaultOptions()", o.MaxCorrelation, ErrInput)
	case o.Noise == Prewhitened && o.Order < 1:
		return fmt.Errorf("regression: Order %d: %w: at least one term; start from DefaultOptions()", o.Order, ErrInput)
	}
	return nil
}
