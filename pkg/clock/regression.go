package clock

import "math"

// fit is the regression of one whitened response on a trend and, if there is
// one, an explaining signal, over the samples where both are present.
type fit struct {
	n    int
	rss0 float64 // residual sum of squares of the trend alone
	rss1 float64 // with the signal
	b    float64 // the signal's coefficient
}

// regress fits y = c0 + c1·u + c2·u² + b·x, u running from −1 to 1 over the
// slice. Only a positive b counts: a negative one explains nothing. Missing
// samples of either are left out.
func regress(y, x []float64) fit {
	var s [4][5]float64 // normal equations of (1, u, u², x | y)
	syy, n := 0.0, 0
	scale := 2 / float64(len(y))
	for i, v := range y {
		w := x[i]
		if math.IsNaN(v) || math.IsNaN(w) {
			continue
		}
		u := float64(i)*scale - 1
		u2 := u * u
		s[0][0]++
		s[0][1] += u
		s[0][2] += u2
		s[0][3] += w
		s[0][4] += v
		s[1][2] += u2 * u
		s[1][3] += u * w
		s[1][4] += u * v
		s[2][2] += u2 * u2
		s[2][3] += u2 * w
		s[2][4] += u2 * v
		s[3][3] += w * w
		s[3][4] += w * v
		syy += v * v
		n++
	}
	s[1][1] = s[0][2]
	f := fit{n: n, rss0: syy, rss1: syy}
	if n < 8 {
		return f
	}
	// Forward elimination: after the trend's rows are eliminated, row 3 holds
	// what is left of the signal.
	for k := range 3 {
		if !(s[k][k] > 1e-12*float64(n)) {
			return f
		}
		f.rss0 -= s[k][4] * s[k][4] / s[k][k]
		for r := k + 1; r < 4; r++ {
			m := s[k][r] / s[k][k]
			for c := r; c < 5; c++ {
				s[r][c] -= m * s[k][c]
			}
		}
	}
	f.rss1 = f.rss0
	if s[3][3] > 0 && s[3][4] > 0 {
		f.b = s[3][4] / s[3][3]
		f.rss1 = f.rss0 - s[3][4]*f.b
	}
	return f
}

// residual returns y − trend − b·x for unwhitened signals, with the trend
// fitted again.
func residual(y, x []float64, b float64) []float64 {
	r := make([]float64, len(y))
	var a [3][4]float64
	scale := 2 / float64(len(y))
	for i := range y {
		r[i] = y[i] - b*x[i]
		if math.IsNaN(r[i]) {
			continue
		}
		u := float64(i)*scale - 1
		row := [4]float64{1, u, u * u, r[i]}
		for p := range 3 {
			for q := range 4 {
				a[p][q] += row[p] * row[q]
			}
		}
	}
	c := solve3(a)
	for i := range r {
		u := float64(i)*scale - 1
		r[i] -= c[0] + c[1]*u + c[2]*u*u
	}
	return r
}

// solve3 solves three equations by elimination; zeros where they are singular.
func solve3(a [3][4]float64) (c [3]float64) {
	for k := range 3 {
		if !(math.Abs(a[k][k]) > 1e-12) {
			return c
		}
		for r := k + 1; r < 3; r++ {
			m := a[r][k] / a[k][k]
			for q := k; q < 4; q++ {
				a[r][q] -= m * a[k][q]
			}
		}
	}
	for k := 2; k >= 0; k-- {
		c[k] = a[k][3]
		for q := k + 1; q < 3; q++ {
			c[k] -= a[k][q] * c[q]
		}
		c[k] /= a[k][k]
	}
	return c
}
