package plan

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// Spending says how much of the error may have been used up at a share t of the
// information, 0 < t ≤ 1: 0 at nothing, alpha at 1.
type Spending func(alpha, t float64) float64

// SpendEvenly leaves each look about as much as the next: alpha·ln(1 + (e−1)·t).
//
// Source: K. K. G. Lan, D. L. DeMets, Biometrika 70 (1983) 659–663, the form
// after Pocock.
func SpendEvenly(alpha, t float64) float64 { return alpha * math.Log(1+(math.E-1)*t) }

// looksPoints is how many points the density between the bounds is held at.
const looksPoints = 160

// walk is the density of a Brownian motion that has not crossed a bound yet.
type walk struct {
	time            float64
	at, mass        []float64 // points and probabilities; of the start one point
	locations, wide []float64
}

func newWalk() *walk {
	return &walk{at: []float64{0}, mass: []float64{1}, locations: make([]float64, looksPoints), wide: make([]float64, looksPoints)}
}

// beyond is the probability to be outside ±bound·√time at the next time.
func (w *walk) beyond(time, bound float64) float64 {
	edge, sd := bound*math.Sqrt(time), math.Sqrt(time-w.time)
	sum := 0.0
	for i, x := range w.at {
		sum += w.mass[i] * (distuv.UnitNormal.CDF((x-edge)/sd) + distuv.UnitNormal.CDF((-edge-x)/sd))
	}
	return sum
}

// on goes to the next time and leaves out what is beyond the bound there.
func (w *walk) on(time, bound float64) {
	edge, sd := bound*math.Sqrt(time), math.Sqrt(time-w.time)
	quad.Legendre{}.FixedLocations(w.locations, w.wide, -edge, edge)
	mass := make([]float64, looksPoints)
	for k, y := range w.locations {
		density := 0.0
		for i, x := range w.at {
			density += w.mass[i] * distuv.UnitNormal.Prob((y-x)/sd) / sd
		}
		mass[k] = density * w.wide[k]
	}
	w.time, w.at, w.mass = time, append([]float64(nil), w.locations...), mass
}

// ErrorOf returns the chance that a z value, looked at whenever the shares of
// the information are those of times, is at least once outside ± the bound of
// its look although nothing was changed. times increase, 0 < t ≤ 1, and bounds
// are as many, above 0; otherwise the result is NaN.
//
// Source: P. Armitage, C. K. McPherson, B. C. Rowe, J. R. Stat. Soc. A 132
// (1969) 235–244.
func ErrorOf(times, bounds []float64) float64 {
	if len(times) != len(bounds) || checkTimes(times) != nil {
		return math.NaN()
	}
	w, sum := newWalk(), 0.0
	for i, t := range times {
		if !(bounds[i] > 0) {
			return math.NaN()
		}
		sum += w.beyond(t, bounds[i])
		w.on(t, bounds[i])
	}
	return sum
}

// Bounds returns for each look the z value that has to be passed, so that all
// looks together err with probability alpha at most. It fails for times that do
// not increase from above 0 to 1 at most, and an alpha outside 0 to 1.
func Bounds(times []float64, alpha float64, spending Spending) ([]float64, error) {
	if err := checkTimes(times); err != nil {
		return nil, err
	}
	if !(alpha > 0 && alpha < 1) {
		return nil, fmt.Errorf("plan: %g is no probability of an error; give one such as 0.05", alpha)
	}
	w, spent := newWalk(), 0.0
	var bounds []float64
	for _, t := range times {
		allowed := spending(alpha, t) - spent
		low, high := 0.0, 40.0
		for range 80 {
			if mid := (low + high) / 2; w.beyond(t, mid) > allowed {
				low = mid
			} else {
				high = mid
			}
		}
		bounds = append(bounds, high)
		spent += allowed
		w.on(t, math.Min(high, 12)) // beyond 12 there is nothing
	}
	return bounds, nil
}

func checkTimes(times []float64) error {
	last := 0.0
	for i, t := range times {
		if !(t > last && t <= 1) {
			return fmt.Errorf("plan: look %d is at %g of the information, the one before at %g; shares have to grow, up to 1", i+1, t, last)
		}
		last = t
	}
	if len(times) == 0 {
		return fmt.Errorf("plan: no look is planned")
	}
	return nil
}
