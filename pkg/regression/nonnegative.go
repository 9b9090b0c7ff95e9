package regression

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
)

// NonNegative fits y = Σ coefficient·column with no coefficient below 0, and
// returns the residual sum of squares with them. It is made for a handful of
// columns whose correlations are moderate: it works on the normal equations.
// Columns that add nothing get 0.
//
// Lawson & Hanson 1974, Solving Least Squares Problems, chapter 23.
//
// The error wraps ErrInput where there is no column, lengths differ or a value
// is missing or infinite.
func NonNegative(y []float64, columns [][]float64) (coefficients []float64, rss float64, err error) {
	k := len(columns)
	if k == 0 {
		return nil, math.NaN(), fmt.Errorf("regression: no column: %w", ErrInput)
	}
	for j, c := range columns {
		if len(c) != len(y) {
			return nil, math.NaN(), fmt.Errorf("regression: column %d has %d rows, y has %d: %w", j, len(c), len(y), ErrInput)
		}
	}
	n := newNormal(y, columns)
	if sum := n.yy + floats.Sum(n.c); math.IsNaN(sum) || math.IsInf(sum, 0) {
		return nil, math.NaN(), fmt.Errorf("regression: a value is missing or infinite: %w: leave its row out", ErrInput)
	}
	b := make([]float64, k)
	free := make([]bool, k)
	for range 3 * k { // the method's usual bound
		j := n.steepest(b, free)
		if j < 0 {
			break
		}
		free[j] = true
		if !n.settle(b, free) {
			free[j], b[j] = false, 0
			break
		}
	}
	for i, v := range y {
		for j, c := range columns {
			v -= b[j] * c[i]
		}
		rss += v * v
	}
	return b, rss, nil
}

// normal holds the normal equations a·b = c.
type normal struct {
	a  [][]float64
	c  []float64
	yy float64
}

func newNormal(y []float64, columns [][]float64) *normal {
	n := &normal{c: make([]float64, len(columns)), yy: dot(y, y)}
	for j, p := range columns {
		n.a = append(n.a, make([]float64, len(columns)))
		for m, q := range columns[:j+1] {
			n.a[j][m] = dot(p, q)
			n.a[m][j] = n.a[j][m]
		}
		n.c[j] = dot(p, y)
	}
	return n
}

// steepest returns the bound column along which the residual falls fastest for
// its length; −1 where none does.
func (n *normal) steepest(b []float64, free []bool) int {
	best, most := -1, 1e-12*math.Sqrt(n.yy)
	for j := range b {
		if free[j] || !(n.a[j][j] > 0) {
			continue
		}
		g := n.c[j]
		for m, v := range b {
			g -= n.a[j][m] * v
		}
		if g /= math.Sqrt(n.a[j][j]); g > most {
			best, most = j, g
		}
	}
	return best
}

// settle moves b to the least squares of the free columns, binding those that
// would fall below 0. It reports false where the free columns are dependent.
func (n *normal) settle(b []float64, free []bool) bool {
	for {
		s, ok := n.solve(free)
		if !ok {
			return false
		}
		step, bound := 1.0, -1
		for j, v := range s {
			if free[j] && v <= 0 && b[j]/(b[j]-v) <= step {
				step, bound = b[j]/(b[j]-v), j
			}
		}
		for j := range b {
			if free[j] {
				b[j] += step * (s[j] - b[j])
			}
		}
		if bound < 0 {
			return true
		}
		free[bound], b[bound] = false, 0
	}
}

// solve solves the equations of the free columns by elimination; they are
// positive definite, so the pivot stays in place.
func (n *normal) solve(free []bool) ([]float64, bool) {
	var use []int
	for j, f := range free {
		if f {
			use = append(use, j)
		}
	}
	k := len(use)
	m := make([][]float64, k)
	for p, i := range use {
		m[p] = make([]float64, k+1)
		for q, j := range use {
			m[p][q] = n.a[i][j]
		}
		m[p][k] = n.c[i]
	}
	for p := range k {
		if !(m[p][p] > 1e-12*n.a[use[p]][use[p]]) {
			return nil, false
		}
		for q := p + 1; q < k; q++ {
			f := m[q][p] / m[p][p]
			for c := p; c <= k; c++ {
				m[q][c] -= f * m[p][c]
			}
		}
	}
	s := make([]float64, len(free))
	for p := k - 1; p >= 0; p-- {
		v := m[p][k]
		for q := p + 1; q < k; q++ {
			v -= m[p][q] * s[use[q]]
		}
		s[use[p]] = v / m[p][p]
	}
	return s, true
}
