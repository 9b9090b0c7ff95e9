package regression

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Fit is the result of a regression.
type Fit struct {
	// Coefficients are in the order of the columns.
	Coefficients []float64
	// Residuals are y − fit, one for each row, not whitened; NaN where y or a
	// column is missing.
	Residuals []float64
	// RSS is the residual sum of squares of the rows as they were solved:
	// weighted, and whitened for Prewhitened.
	RSS float64
	// Sigma is the standard deviation of one row (of weight 1).
	Sigma float64
	// DegreesOfFreedom are those of Sigma and of the intervals: rows less
	// rank, with EffectiveSize effective rows less rank and at least 1.
	DegreesOfFreedom float64
	// Rows is how many rows were used, Missing how many were left out.
	Rows, Missing int
	// EffectiveRows is how many independent rows the used ones are worth.
	EffectiveRows float64
	// Correlation is that of residuals with their neighbours, as it was
	// allowed for; 0 for Independent.
	Correlation float64
	// Autoregression holds the coefficients that were filtered out by
	// Prewhitened, nil otherwise.
	Autoregression []float64
	// Rank is the number of columns that do not depend on those before them,
	// Dependent the numbers of those that do.
	Rank      int
	Dependent []int
	// Condition is the condition number of the columns as solved (1-norm);
	// beyond 10⁸ half the digits of the coefficients are lost.
	Condition float64

	unscaled   [][]float64 // covariance for errors of variance 1
	innovation float64     // standard deviation of a whitened row
	inflation  float64
}

// Covariance returns the covariance of coefficients i and j.
func (f Fit) Covariance(i, j int) float64 {
	return f.innovation * f.innovation * f.inflation * f.unscaled[i][j]
}

// Unscaled returns the covariance of coefficients i and j for errors that are
// independent and, at weight 1, of variance 1: for use where the variance is
// known beforehand.
func (f Fit) Unscaled(i, j int) float64 { return f.unscaled[i][j] }

// StandardError returns the standard error of coefficient j.
func (f Fit) StandardError(j int) float64 { return math.Sqrt(f.Covariance(j, j)) }

// At returns Σ x·coefficient, the fitted value at x or any other combination
// of the coefficients, with its standard error. x has one value for each
// column.
func (f Fit) At(x []float64) (value, standardError float64) {
	v := 0.0
	for i := range x {
		value += x[i] * f.Coefficients[i]
		for j := range x {
			if x[i] != 0 && x[j] != 0 {
				v += x[i] * x[j] * f.Covariance(i, j)
			}
		}
	}
	return value, math.Sqrt(v)
}

// Interval returns the two-sided interval of the fitted value at x with the
// given level, say 0.95.
func (f Fit) Interval(x []float64, level float64) (low, high float64) {
	v, u := f.At(x)
	half := f.Quantile((1+level)/2) * u
	return v - half, v + half
}

// Prediction returns the interval in which a further single row at x lies with
// the given level; it includes the scatter of single rows.
func (f Fit) Prediction(x []float64, level float64) (low, high float64) {
	v, u := f.At(x)
	half := f.Quantile((1+level)/2) * math.Hypot(u, f.Sigma)
	return v - half, v + half
}

// Quantile returns the p-quantile of Student's t with the fit's degrees of
// freedom; NaN where there are none.
func (f Fit) Quantile(p float64) float64 {
	if !(f.DegreesOfFreedom > 0) {
		return math.NaN()
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: f.DegreesOfFreedom}.Quantile(p)
}

// Ones returns a column of n ones, for a constant term.
func Ones(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 1
	}
	return x
}
