package changepoint

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// Pelt returns the fit that minimises RSS + penalty·(number of breaks), every
// regime having at least minLength values.
//
// Killick, Fearnhead & Eckley 2012, Journal of the American Statistical
// Association 107, 1590–1598: exact, and linear in the length where breaks
// keep coming. [Penalty] gives a usual penalty.
//
// It fails, wrapping [ErrInput], for too few or unusable values and a negative
// penalty.
func Pelt(x []float64, model Model, penalty float64, minLength int) (Fit, error) {
	if err := check(x, minLength, model.coefficients()); err != nil {
		return Fit{}, err
	}
	if !(penalty >= 0) {
		return Fit{}, fmt.Errorf("changepoint: penalty %v: %w: it must not be negative", penalty, ErrInput)
	}
	n := len(x)
	c := newCost(model, x)
	return pelt(c, model, n, penalty, minLength), nil
}

func pelt(c *regression.Sums, model Model, n int, penalty float64, minLength int) Fit {
	best := make([]float64, n+1)
	from := make([]int, n+1)
	best[0] = -penalty
	for k := 1; k < minLength && k <= n; k++ {
		best[k] = math.Inf(1)
	}
	candidates := make([]int, 0, 64)
	values := make([]float64, 0, 64)
	lostAt := make([]int, 0, 64) // when a candidate fell behind, 0 if never
	for k := minLength; k <= n; k++ {
		if b := k - minLength; b == 0 || !math.IsInf(best[b], 1) {
			candidates, lostAt = append(candidates, b), append(lostAt, 0)
		}
		best[k] = math.Inf(1)
		values = values[:0]
		for _, b := range candidates {
			v := best[b] + c.RSS(b, k)
			values = append(values, v)
			if v+penalty < best[k] {
				best[k], from[k] = v+penalty, b
			}
		}
		// A candidate that loses by the penalty loses for good, once a rival
		// regime can begin here: minLength later.
		kept := 0
		for i, b := range candidates {
			if lostAt[i] == 0 && values[i] > best[k] {
				lostAt[i] = k
			}
			if lostAt[i] == 0 || k < lostAt[i]+minLength {
				candidates[kept], lostAt[kept] = b, lostAt[i]
				kept++
			}
		}
		candidates, lostAt = candidates[:kept], lostAt[:kept]
	}
	f := Fit{Model: model, N: n}
	for k := from[n]; k > 0; k = from[k] {
		f.Breaks = append(f.Breaks, k)
	}
	slices.Reverse(f.Breaks)
	f.RSS = total(c, f.Breaks, n)
	return f
}

// Penalty returns 2·ln(n)·σ²·(1+φ)/(1−φ): the usual penalty of a change in
// level, times what correlated noise of the AR(1) coefficient φ adds to the
// variance of a mean.
func Penalty(n int, sigma, phi float64) float64 {
	return 2 * math.Log(float64(n)) * sigma * sigma * (1 + phi) / (1 - phi)
}
