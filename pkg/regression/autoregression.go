package regression

import (
	"math"
	"slices"
)

// Autoregression is the model
//
//	x_t − mean = a_1 (x_{t−1} − mean) + … + a_p (x_{t−p} − mean) + e_t
type Autoregression struct {
	// Coefficients are a_1 … a_p; empty where no term helps.
	Coefficients []float64
	Mean         float64
	// Variance is that of x, Innovation that of e.
	Variance, Innovation float64
}

// YuleWalker fits an autoregression by the Yule–Walker equations
// (Levinson–Durbin recursion). The order is chosen by Akaike's criterion up to
// most and a tenth of the number of values. NaN marks missing values. Biased
// autocovariances keep the result stationary.
//
// Source: Brockwell & Davis, Introduction to Time Series and Forecasting,
// sec. 5.1.1.
func YuleWalker(x []float64, most int) Autoregression {
	n, mean := 0, 0.0
	for _, v := range x {
		if !math.IsNaN(v) {
			n++
			mean += (v - mean) / float64(n)
		}
	}
	most = min(most, n/10)
	if most < 1 {
		return Autoregression{Mean: mean, Variance: math.NaN(), Innovation: math.NaN()}
	}
	c := make([]float64, most+1)
	for k := range c {
		for i := 0; i+k < len(x); i++ {
			if p := (x[i] - mean) * (x[i+k] - mean); !math.IsNaN(p) {
				c[k] += p / float64(n)
			}
		}
	}
	r := Autoregression{Mean: mean, Variance: c[0], Innovation: c[0]}
	if !(c[0] > 0) {
		return r
	}
	var best []float64
	variance, a := c[0], []float64{}
	bestScore := float64(n) * math.Log(variance)
	for p := 1; p <= most; p++ {
		k := c[p]
		for j := range a {
			k -= a[j] * c[p-1-j]
		}
		k /= variance
		next := make([]float64, p)
		for j := range a {
			next[j] = a[j] - k*a[p-2-j]
		}
		next[p-1] = k
		a = next
		variance *= 1 - k*k
		if !(variance > 0) {
			break
		}
		if score := float64(n)*math.Log(variance) + 2*float64(p); score < bestScore {
			bestScore, best, r.Innovation = score, a, variance
		}
	}
	r.Coefficients = slices.Clone(best)
	return r
}

// gain returns the variance of x over that of e, by the recursion run
// backwards; +Inf where the coefficients are not stationary.
func gain(coefficients []float64) float64 {
	a, g := slices.Clone(coefficients), 1.0
	for p := len(a); p > 0; p-- {
		k := a[p-1]
		if !(math.Abs(k) < 1) {
			return math.Inf(1)
		}
		g /= 1 - k*k
		next := make([]float64, p-1)
		for j := range next {
			next[j] = (a[j] + k*a[p-2-j]) / (1 - k*k)
		}
		a = next
	}
	return g
}

// Filter writes x_t − Σ a_k x_{t−k} into out, which is as long as x; NaN where
// any term is missing and for the first values.
func Filter(out, x, a []float64) {
	for i := range x {
		if i < len(a) {
			out[i] = math.NaN()
			continue
		}
		v := x[i]
		for k, c := range a {
			v -= c * x[i-1-k]
		}
		out[i] = v
	}
}

// PraisWinsten writes x with an autoregression of one term of coefficient phi
// taken out into out, which is as long as x. Unlike [Filter] it keeps the
// first value, scaled by √(1−φ²). x has no NaN.
func PraisWinsten(out, x []float64, phi float64) {
	if len(x) == 0 {
		return
	}
	out[0] = x[0] * math.Sqrt(1-phi*phi)
	for i := 1; i < len(x); i++ {
		out[i] = x[i] - phi*x[i-1]
	}
}
