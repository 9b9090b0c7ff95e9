package changepoint

import "math"

func ones(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 1
	}
	return x
}

func shifted(t []float64) []float64 {
	x := make([]float64, len(t))
	for i := range x {
		x[i] = t[i] - t[0]
	}
	return x
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

func subtract(a, b []float64, f float64) {
	for i := range a {
		a[i] -= f * b[i]
	}
}

// whiten returns x with AR(1) correlation of coefficient phi taken out (Prais
// & Winsten 1954: the first value is kept, scaled).
func whiten(x []float64, phi float64) []float64 {
	w := make([]float64, len(x))
	whitenInto(w, x, phi)
	return w
}

func whitenInto(w, x []float64, phi float64) {
	if len(x) == 0 {
		return
	}
	w[0] = x[0] * math.Sqrt(1-phi*phi)
	for i := 1; i < len(x); i++ {
		w[i] = x[i] - phi*x[i-1]
	}
}

// orthonormal returns an orthonormal basis of the whitened columns by
// modified Gram–Schmidt, done twice; dependent columns drop out.
func orthonormal(columns [][]float64, phi float64) [][]float64 {
	var base [][]float64
	for _, c := range columns {
		w := whiten(c, phi)
		size := math.Sqrt(dot(w, w))
		for range 2 {
			for _, q := range base {
				subtract(w, q, dot(q, w))
			}
		}
		left := math.Sqrt(dot(w, w))
		if left <= 1e-9*size {
			continue
		}
		for i := range w {
			w[i] /= left
		}
		base = append(base, w)
	}
	return base
}

// leastSquares returns the coefficients of y on the columns with AR(1) noise
// by QR; a column that depends on those before it gets 0.
func leastSquares(columns [][]float64, y []float64, phi float64) []float64 {
	k := len(columns)
	q := make([][]float64, k)
	r := make([][]float64, k) // r[j][i]: part of column j along q[i]
	wy := whiten(y, phi)
	z := make([]float64, k)
	for j, c := range columns {
		w := whiten(c, phi)
		size := math.Sqrt(dot(w, w))
		r[j] = make([]float64, k)
		for range 2 {
			for i := range j {
				if q[i] == nil {
					continue
				}
				f := dot(q[i], w)
				r[j][i] += f
				subtract(w, q[i], f)
			}
		}
		left := math.Sqrt(dot(w, w))
		if left <= 1e-9*size || left == 0 {
			continue
		}
		for i := range w {
			w[i] /= left
		}
		q[j], r[j][j] = w, left
		z[j] = dot(w, wy)
	}
	b := make([]float64, k)
	for j := k - 1; j >= 0; j-- {
		if q[j] == nil {
			continue
		}
		v := z[j]
		for m := j + 1; m < k; m++ {
			v -= r[m][j] * b[m]
		}
		b[j] = v / r[j][j]
	}
	return b
}

func logAdd(a, b float64) float64 {
	if math.IsInf(a, -1) {
		return b
	}
	if b > a {
		a, b = b, a
	}
	return a + math.Log1p(math.Exp(b-a))
}

// normalise fills weight with exp(logs), summing to 1.
func normalise(weight, logs []float64) {
	top := math.Inf(-1)
	for _, v := range logs {
		top = max(top, v)
	}
	sum := 0.0
	for i, v := range logs {
		weight[i] = math.Exp(v - top)
		sum += weight[i]
	}
	for i := range weight {
		weight[i] /= sum
	}
}
