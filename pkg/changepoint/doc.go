// Package changepoint finds where a sequence of numbers changes its level or
// its slope, and how surely.
//
// It knows numbers and indices only. A break b is the first index of the new
// regime: a sequence with breaks b₁ < b₂ has the regimes [0,b₁), [b₁,b₂) and
// [b₂,n). Missing values are not allowed; cut them out before.
//
//   - [Neighbourhood] is the best fit for each number of breaks (exact, for
//     thousands of values), [Pelt] the best fit for a penalty, [Coarse] the
//     same for millions of values.
//   - [Kinks] fits a continuous piecewise-linear curve.
//   - [Intervals] gives confidence intervals of break dates.
//   - [Onset] gives the posterior of the instant at which a curve leaves its
//     straight course.
package changepoint

import (
	"errors"
	"fmt"
	"math"
)

// ErrInput is wrapped by errors about sequences that can't be searched.
var ErrInput = errors.New("unsuitable sequence")

// Model is what holds between two breaks.
type Model int

// The models.
const (
	Level Model = iota // a constant
	Line               // a straight line, which may jump at breaks
)

// coefficients returns how many numbers describe one regime.
func (m Model) coefficients() int {
	if m == Line {
		return 2
	}
	return 1
}

// Fit is a sequence cut into regimes.
type Fit struct {
	Model Model
	N     int // length of the sequence
	// Breaks are ascending; empty for one regime.
	Breaks []int
	// RSS is the residual sum of squares.
	RSS float64
}

// Regimes returns the half-open index ranges between the breaks.
func (f Fit) Regimes() [][2]int {
	r := make([][2]int, 0, len(f.Breaks)+1)
	from := 0
	for _, b := range f.Breaks {
		r = append(r, [2]int{from, b})
		from = b
	}
	return append(r, [2]int{from, f.N})
}

// LogLikelihood returns the Gaussian log-likelihood at the maximum, for
// independent errors: −n/2·(ln(RSS/n) + 1 + ln 2π).
func (f Fit) LogLikelihood() float64 {
	n := float64(f.N)
	return -n / 2 * (math.Log(f.RSS/n) + 1 + math.Log(2*math.Pi))
}

// BIC returns the Bayesian information criterion −2·ln L + p·ln n, where p
// counts coefficients, break dates and the variance (the convention of Bai &
// Perron 2003, Journal of Applied Econometrics 18, 1–22). Smaller is better.
func (f Fit) BIC() float64 {
	p := (f.Model.coefficients() + 1) * (len(f.Breaks) + 1)
	return -2*f.LogLikelihood() + float64(p)*math.Log(float64(f.N))
}

// SelectBIC returns the fit with the smallest BIC; it panics on an empty
// list, a programmer's mistake.
func SelectBIC(fits []Fit) Fit {
	best := fits[0]
	for _, f := range fits[1:] {
		if f.BIC() < best.BIC() {
			best = f
		}
	}
	return best
}

func check(x []float64, minLength, least int) error {
	if minLength < least {
		return fmt.Errorf("changepoint: minimum length %d: %w: at least %d values make a regime", minLength, ErrInput, least)
	}
	if len(x) < minLength {
		return fmt.Errorf("changepoint: %d values: %w: at least %d are needed", len(x), ErrInput, minLength)
	}
	for i, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("changepoint: value %d is %v: %w: cut missing values out first", i, v, ErrInput)
		}
	}
	return nil
}
