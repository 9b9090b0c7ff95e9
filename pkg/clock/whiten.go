package clock

import (
	"math"
	"slices"
)

// autoregression returns the coefficients a of
//
//	x_t = a_1 x_{t−1} + … + a_p x_{t−p} + e_t
//
// by the Yule–Walker equations (Levinson–Durbin recursion), the order chosen
// by Akaike's criterion up to most. NaN marks missing values. Biased
// autocovariances keep the result stationary.
func autoregression(x []float64, most int) []float64 {
	n, mean := 0, 0.0
	for _, v := range x {
		if !math.IsNaN(v) {
			n++
			mean += (v - mean) / float64(n)
		}
	}
	most = min(most, n/10)
	if most < 1 {
		return nil
	}
	c := make([]float64, most+1)
	for k := range c {
		for i := 0; i+k < len(x); i++ {
			if p := (x[i] - mean) * (x[i+k] - mean); !math.IsNaN(p) {
				c[k] += p / float64(n)
			}
		}
	}
	if !(c[0] > 0) {
		return nil
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
			bestScore, best = score, a
		}
	}
	return slices.Clone(best)
}

// whiten writes x_t − Σ a_k x_{t−k} into out; missing where any term is.
func whiten(out, x, a []float64) {
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

// clip limits x to four robust standard deviations about its median, so that
// single events (a door, a spike) do not decide.
func clip(x []float64) {
	var y []float64
	for _, v := range x {
		if !math.IsNaN(v) {
			y = append(y, v)
		}
	}
	if len(y) < 8 {
		return
	}
	slices.Sort(y)
	median := y[len(y)/2]
	for i := range y {
		y[i] = math.Abs(y[i] - median)
	}
	slices.Sort(y)
	limit := 4 * 1.4826 * y[len(y)/2]
	if limit == 0 {
		return
	}
	for i, v := range x {
		if !math.IsNaN(v) {
			x[i] = math.Max(median-limit, math.Min(median+limit, v))
		}
	}
}

func differences(x []float64) []float64 {
	d := make([]float64, len(x))
	d[0] = math.NaN()
	for i := 1; i < len(x); i++ {
		d[i] = x[i] - x[i-1]
	}
	return d
}
