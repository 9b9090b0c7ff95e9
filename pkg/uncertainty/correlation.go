package uncertainty

import (
	"fmt"
	"math"
)

// Pair names two inputs by their index, the smaller first.
type Pair struct{ I, J int }

// Correlation holds correlation coefficients between inputs; pairs that are
// missing are uncorrelated. Nil is no correlation at all.
type Correlation map[Pair]float64

// At returns the coefficient of inputs i and j: 1 on the diagonal, 0 for a
// pair that is missing.
func (r Correlation) At(i, j int) float64 {
	if i == j {
		return 1
	}
	return r[Pair{min(i, j), max(i, j)}]
}

func (r Correlation) check(n int) error {
	for p, x := range r {
		if p.I < 0 || p.J >= n || p.I >= p.J {
			return fmt.Errorf("uncertainty: correlation of inputs %d and %d: want 0 ≤ i < j < %d: %w", p.I, p.J, n, ErrInput)
		}
		if !(x >= -1 && x <= 1) {
			return rangeError(fmt.Sprintf("correlation of inputs %d and %d", p.I, p.J), x, -1, 1, "")
		}
	}
	return nil
}

// cholesky returns the lower triangle L with L·Lᵀ the correlation matrix, or
// an error if no such quantities can exist.
func (r Correlation) cholesky(n int) ([][]float64, error) {
	l := make([][]float64, n)
	for i := range n {
		l[i] = make([]float64, n)
		for j := 0; j <= i; j++ {
			sum := r.At(i, j)
			for k := range j {
				sum -= l[i][k] * l[j][k]
			}
			switch {
			case i == j && sum < -1e-9:
				return nil, fmt.Errorf("uncertainty: the correlations contradict each other at input %d (the matrix is not positive semidefinite): %w", i, ErrInput)
			case i == j:
				l[i][i] = math.Sqrt(math.Max(0, sum))
			case l[j][j] > 1e-12:
				l[i][j] = sum / l[j][j]
			}
		}
	}
	return l, nil
}
