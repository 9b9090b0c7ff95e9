package regression

import "math"

// Base is a regression to which one more column is tried, thousands of times:
// each trial costs the columns' products instead of a fit. Trials share its
// memory; use one Base for each goroutine.
type Base struct {
	// RSS is the residual sum of squares without a further column.
	RSS float64
	// Rank is the number of columns that do not depend on those before them.
	Rank int

	q     [][]float64 // orthonormal basis of the whitened columns
	rest  []float64   // of whitened y
	white []float64
	phi   float64
}

// Added is what one more column does to a [Base].
type Added struct {
	// Coefficient is that of the column, RSS the residual sum of squares.
	Coefficient, RSS float64
	// Left is the squared length of what the other columns leave of the
	// column. Where it is about 0 the column is no news and the coefficient
	// has no meaning.
	Left float64
}

// NewBase returns the regression of y on the columns with an autoregression of
// one term of the coefficient phi taken out ([PraisWinsten]; 0 for independent
// errors). y and columns are of one length and have no NaN; columns that
// depend on those before them drop out. The basis comes from modified
// Gram–Schmidt, done twice.
func NewBase(y []float64, columns [][]float64, phi float64) *Base {
	b := &Base{phi: phi, rest: make([]float64, len(y)), white: make([]float64, len(y))}
	for _, c := range columns {
		w := make([]float64, len(c))
		PraisWinsten(w, c, phi)
		size := math.Sqrt(dot(w, w))
		for range 2 {
			for _, q := range b.q {
				subtract(w, q, dot(q, w))
			}
		}
		left := math.Sqrt(dot(w, w))
		if left <= dependence*size {
			continue
		}
		for i := range w {
			w[i] /= left
		}
		b.q = append(b.q, w)
	}
	PraisWinsten(b.rest, y, phi)
	for _, q := range b.q {
		subtract(b.rest, q, dot(q, b.rest))
	}
	b.Rank, b.RSS = len(b.q), dot(b.rest, b.rest)
	return b
}

// With tries a column that is 0 in the rows before from; it does not look at these.
func (b *Base) With(column []float64, from int) Added {
	w := b.white[from:]
	if from > 0 {
		// The row before is 0: nothing to take off.
		column := column[from:]
		column = column[:len(w)]
		w[0] = column[0]
		for i := 1; i < len(w); i++ {
			w[i] = column[i] - b.phi*column[i-1]
		}
	} else {
		PraisWinsten(w, column, b.phi)
	}
	var q [2][]float64 // those of a line; more are rare
	copy(q[:], b.q)
	along, left, f, g := products(w, b.rest[from:], tail(q[0], from), tail(q[1], from))
	left -= f * f
	left -= g * g
	for _, q := range b.q[min(2, len(b.q)):] {
		f := dot(q[from:], w)
		left -= f * f
	}
	return Added{Coefficient: along / left, RSS: max(b.RSS-along*along/left, 0), Left: left}
}

func tail(x []float64, from int) []float64 {
	if x == nil {
		return nil
	}
	return x[from:]
}

// products are those of w with a, with itself, and with b and c, which may be nil:
// four sums at once take little longer than one, whose additions wait for each other.
func products(w, a, b, c []float64) (wa, ww, wb, wc float64) {
	if b == nil || c == nil {
		wa, ww = dot(w, a), dot(w, w)
		if b != nil {
			wb = dot(b, w)
		}
		return wa, ww, wb, 0
	}
	a, b, c = a[:len(w)], b[:len(w)], c[:len(w)]
	for i, v := range w {
		wa += v * a[i]
		ww += v * v
		wb += b[i] * v
		wc += c[i] * v
	}
	return wa, ww, wb, wc
}

func dot(a, b []float64) float64 {
	b = b[:len(a)]
	sum := 0.0
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

func subtract(a, b []float64, f float64) {
	for i := range a {
		a[i] -= f * b[i]
	}
}
