package changepoint

import (
	"math"
	"slices"
)

// Noise describes what scatters about the regimes.
type Noise struct {
	Sigma float64 // standard deviation of a value
	Phi   float64 // coefficient of AR(1): correlation of neighbours
}

// EstimateNoise returns the noise of x without knowing its breaks. A few
// breaks don't matter, since medians of differences hardly see them.
//
// Chakar, Lebarbier, Lévy-Leduc & Robin 2017, Bernoulli 23, 1408–1447: with
// D_k the median of |x_{i+k} − x_i|, φ = (D₂/D₁)² − 1; then σ from D₁, since
// Var(x_{i+1} − x_i) = 2σ²(1−φ). φ is kept within [0, 0.99]. For coarsely
// rounded values, where the medians vanish, mean squares take their place.
func EstimateNoise(x []float64) Noise {
	if len(x) < 4 {
		return Noise{Sigma: math.NaN(), Phi: math.NaN()}
	}
	d1, d2 := medianAbsDifference(x, 1), medianAbsDifference(x, 2)
	const toSigma = 1.482602218505602 // of a normal distribution's median absolute value
	if d1 == 0 || distinctSteps(x) < 8 {
		d1, d2 = rmsDifference(x, 1)/toSigma, rmsDifference(x, 2)/toSigma
	}
	if d1 == 0 {
		return Noise{}
	}
	phi := min(max(d2*d2/(d1*d1)-1, 0), 0.99)
	return Noise{Sigma: toSigma * d1 / math.Sqrt(2*(1-phi)), Phi: phi}
}

func medianAbsDifference(x []float64, lag int) float64 {
	d := make([]float64, 0, len(x)-lag)
	for i := lag; i < len(x); i++ {
		d = append(d, math.Abs(x[i]-x[i-lag]))
	}
	slices.Sort(d)
	return d[len(d)/2]
}

func rmsDifference(x []float64, lag int) float64 {
	sum := 0.0
	for i := lag; i < len(x); i++ {
		sum += (x[i] - x[i-lag]) * (x[i] - x[i-lag])
	}
	return math.Sqrt(sum / float64(len(x)-lag))
}

// distinctSteps counts, up to 8, different absolute steps: few mean that the
// values are rounded so coarsely that medians mislead.
func distinctSteps(x []float64) int {
	var seen []float64
	for i := 1; i < len(x) && len(seen) < 8; i++ {
		d := math.Abs(x[i] - x[i-1])
		known := false
		for _, s := range seen {
			known = known || math.Abs(s-d) <= 1e-9*(1+d)
		}
		if !known {
			seen = append(seen, d)
		}
	}
	return len(seen)
}
