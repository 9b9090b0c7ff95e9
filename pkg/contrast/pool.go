package contrast

import (
	"fmt"
	"math"
)

// Pooled is the mean of values of known uncertainty that scatter besides, as
// the studies of a meta-analysis do, for comparison with [FitMean].
type Pooled struct {
	// Tau is the scatter by restricted likelihood, ≥ 0.
	Tau float64
	// Usual has the standard error as if the scatter were known, with infinite
	// degrees of freedom.
	Usual T
	// HartungKnapp takes the standard error from how the values differ, which
	// is too small where they agree by chance; Modified is never below the
	// usual one. Both have n − 1 degrees of freedom.
	HartungKnapp, Modified T
}

// Pool averages values with their standard uncertainties. It fails for fewer
// than two values, other lengths, and numbers that are not finite or an
// uncertainty that is not above 0.
//
// Source: J. Hartung, G. Knapp, Stat. Med. 20 (2001) 3875–3889; modified: C.
// Röver, G. Knapp, T. Friede, BMC Med. Res. Methodol. 15 (2015) 99.
func Pool(values, uncertainties []float64) (Pooled, error) {
	n := len(values)
	if n < 2 || len(uncertainties) != n {
		return Pooled{}, fmt.Errorf("contrast.Pool: %d values and %d uncertainties; two or more of each are needed", n, len(uncertainties))
	}
	for i, s := range uncertainties {
		if !(s > 0) || math.IsInf(s, 0) || math.IsNaN(values[i]) || math.IsInf(values[i], 0) {
			return Pooled{}, fmt.Errorf("contrast.Pool: value %d is %g ± %g", i, values[i], s)
		}
	}
	variance := likeliest(values, uncertainties)
	mean, weight, squares := weighted(values, uncertainties, variance)
	usual := math.Sqrt(1 / weight)
	observed := usual * math.Sqrt(squares/float64(n-1))
	return Pooled{Tau: math.Sqrt(variance), Usual: newT(mean, usual, math.Inf(1)),
		HartungKnapp: newT(mean, observed, float64(n-1)), Modified: newT(mean, math.Max(usual, observed), float64(n-1))}, nil
}

// weighted returns the mean under a scatter, the sum of the weights and that of
// the weighted squares around it.
func weighted(values, uncertainties []float64, variance float64) (mean, weight, squares float64) {
	for i, s := range uncertainties {
		w := 1 / (s*s + variance)
		weight += w
		mean += w * values[i]
	}
	mean /= weight
	for i, s := range uncertainties {
		squares += (values[i] - mean) * (values[i] - mean) / (s*s + variance)
	}
	return mean, weight, squares
}

// likeliest returns the variance of the scatter at which the restricted
// likelihood is highest: where its slope crosses zero from above, the best of
// such places, or 0.
func likeliest(values, uncertainties []float64) float64 {
	score := func(variance float64) float64 { // twice the slope of the logarithm
		mean, weight, _ := weighted(values, uncertainties, variance)
		sum, w2 := 0.0, 0.0
		for i, s := range uncertainties {
			w := 1 / (s*s + variance)
			sum += w*w*(values[i]-mean)*(values[i]-mean) - w
			w2 += w * w
		}
		return sum + w2/weight
	}
	minus := func(variance float64) float64 { // −2·log, up to a constant
		_, weight, squares := weighted(values, uncertainties, variance)
		sum := math.Log(weight) + squares
		for _, s := range uncertainties {
			sum += math.Log(s*s + variance)
		}
		return sum
	}
	top := 0.0
	for i, v := range values {
		top = math.Max(top, math.Max(uncertainties[i], math.Abs(v-values[0])))
	}
	top *= 10 * top
	best := 0.0
	const steps = 200
	for k := range steps { // squares of even steps: fine near 0
		low, high := top*sq(float64(k)/steps), top*sq(float64(k+1)/steps)
		if !(score(low) > 0 && score(high) <= 0) {
			continue
		}
		for range 100 {
			if mid := (low + high) / 2; score(mid) > 0 {
				low = mid
			} else {
				high = mid
			}
		}
		if minus(low) < minus(best) {
			best = low
		}
	}
	return best
}

func sq(x float64) float64 { return x * x }
