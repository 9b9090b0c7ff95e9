package changepoint

import (
	"fmt"
	"math"
	"slices"
)

// Neighbourhood returns the least-squares fit for 0, 1, … maxBreaks breaks;
// every regime has at least minLength values. It may return fewer fits where
// the sequence is too short for more breaks.
//
// The dynamic programme of Auger & Lawrence 1989 and Bai & Perron 2003; exact;
// cost grows as maxBreaks·n², so use it up to some ten thousand values.
//
// It fails, wrapping [ErrInput], for too few or unusable values and a negative
// number of breaks.
func Neighbourhood(x []float64, model Model, maxBreaks, minLength int) ([]Fit, error) {
	if err := check(x, minLength, model.coefficients()); err != nil {
		return nil, err
	}
	if maxBreaks < 0 {
		return nil, fmt.Errorf("changepoint: %d breaks: %w: none or more are possible", maxBreaks, ErrInput)
	}
	n := len(x)
	c := newCost(model, x)
	best := make([]float64, n+1) // least cost of [0,k) with the breaks so far
	for k := range best {
		best[k] = math.Inf(1)
		if k >= minLength {
			best[k] = c.RSS(0, k)
		}
	}
	fits := []Fit{{Model: model, N: n, RSS: best[n]}}
	var from [][]int32
	for m := 1; m <= maxBreaks && (m+1)*minLength <= n; m++ {
		next := make([]float64, n+1)
		last := make([]int32, n+1)
		for k := range next {
			next[k] = math.Inf(1)
			for b := m * minLength; b <= k-minLength; b++ {
				if v := best[b] + c.RSS(b, k); v < next[k] {
					next[k], last[k] = v, int32(b)
				}
			}
		}
		best, from = next, append(from, last)
		breaks := make([]int, 0, m)
		for j, k := m-1, n; j >= 0; j-- {
			k = int(from[j][k])
			breaks = append(breaks, k)
		}
		slices.Reverse(breaks)
		fits = append(fits, Fit{Model: model, N: n, Breaks: breaks, RSS: best[n]})
	}
	return fits, nil
}
