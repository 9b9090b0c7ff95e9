package regression

import (
	"errors"
	"math"
)

// TrendFit is the regression of a signal on a quadratic trend and one other
// signal, over the samples where both are present.
type TrendFit struct {
	Rows     int
	RSSTrend float64 // residual sum of squares of the trend alone
	RSS      float64 // with the other signal
	// Coefficient is that of the other signal; 0 where the trend explains it
	// or there are fewer than 8 samples.
	Coefficient float64
}

// OnTrend fits y = c0 + c1·u + c2·u² + b·x, with u running from −1 to 1 over
// the slice, in one pass by the normal equations. Missing samples of either
// (NaN) are left out.
func OnTrend(y, x []float64) TrendFit {
	var m TrendMoments
	scale := 2 / float64(len(y))
	for i, v := range y {
		w := x[i]
		if math.IsNaN(v) || math.IsNaN(w) {
			continue
		}
		u := float64(i)*scale - 1
		u2 := u * u
		m.N++
		m.U += u
		m.U2 += u2
		m.U3 += u2 * u
		m.U4 += u2 * u2
		m.X += w
		m.UX += u * w
		m.U2X += u2 * w
		m.XX += w * w
		m.Y += v
		m.UY += u * v
		m.U2Y += u2 * v
		m.YY += v * v
		m.XY += w * v
	}
	return m.Fit()
}

// TrendMoments are the sums that [OnTrend] rests on, over the samples that take
// part, for who can have them cheaper than by going through all samples: N is
// their number, the others are sums of products of u (which runs from −1 to 1),
// x and y.
type TrendMoments struct {
	N, U, U2, U3, U4 float64
	X, UX, U2X, XX   float64
	Y, UY, U2Y, YY   float64
	XY               float64
}

// Fit solves the normal equations.
func (m TrendMoments) Fit() TrendFit {
	s := [4][5]float64{ // of (1, u, u², x | y), the upper triangle
		{m.N, m.U, m.U2, m.X, m.Y},
		{0, m.U2, m.U3, m.UX, m.UY},
		{0, 0, m.U4, m.U2X, m.U2Y},
		{0, 0, 0, m.XX, m.XY},
	}
	f := TrendFit{Rows: int(m.N), RSSTrend: m.YY, RSS: m.YY}
	if m.N < 8 {
		return f
	}
	// Forward elimination: after the trend's rows are eliminated, row 3 holds
	// what is left of the signal.
	for k := range 3 {
		if !(s[k][k] > 1e-12*m.N) {
			return f
		}
		f.RSSTrend -= s[k][4] * s[k][4] / s[k][k]
		for r := k + 1; r < 4; r++ {
			m := s[k][r] / s[k][k]
			for c := r; c < 5; c++ {
				s[r][c] -= m * s[k][c]
			}
		}
	}
	f.RSS = f.RSSTrend
	if s[3][3] > 0 {
		f.Coefficient = s[3][4] / s[3][3]
		f.RSS = f.RSSTrend - s[3][4]*f.Coefficient
	}
	return f
}

// Detrended returns y − b·x less its own quadratic trend, NaN where y or x is
// missing. With fewer than three values left nothing is taken off.
func Detrended(y, x []float64, b float64) []float64 {
	n := len(y)
	rest := make([]float64, n)
	columns := [][]float64{make([]float64, n), make([]float64, n), make([]float64, n)}
	scale := 2 / float64(n)
	for i := range y {
		rest[i] = y[i] - b*x[i]
		u := float64(i)*scale - 1
		columns[0][i], columns[1][i], columns[2][i] = 1, u, u*u
	}
	f, err := LeastSquares(rest, columns, DefaultOptions())
	if err != nil && !errors.Is(err, ErrDependent) {
		return rest
	}
	return f.Residuals
}
