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
	white [2][]float64
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
	b := &Base{phi: phi, rest: make([]float64, len(y)), white: [2][]float64{make([]float64, len(y)), make([]float64, len(y))}}
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
	var added [1]Added
	b.Each(added[:], [][]float64{column}, from)
	return added[0]
}

// Each tries columns one by one, each as [Base.With] does, and says what they do
// in added, which is as long. It takes two at a time: sums that do not wait for
// each other cost little more than one.
func (b *Base) Each(added []Added, columns [][]float64, from int) {
	rest := b.rest[from:]
	var q [2][]float64 // those of a line; more are rare
	for i := range min(len(q), len(b.q)) {
		q[i] = b.q[i][from:]
	}
	for len(columns) > 0 {
		n := min(2, len(columns))
		if len(b.q) < 2 {
			n = 1
		}
		var of [2]sums
		switch w := b.whiten(0, columns[0], from); n {
		case 1:
			of[0] = products(w, rest, q[0], q[1])
		case 2:
			of[0], of[1] = productsOfTwo(w, b.whiten(1, columns[1], from), rest, q[0], q[1])
		}
		for i, s := range of[:n] {
			left := s.itself - s.first*s.first
			left -= s.second * s.second
			for _, q := range b.q[min(2, len(b.q)):] {
				f := dot(q[from:], b.white[i][from:])
				left -= f * f
			}
			added[i] = Added{Coefficient: s.rest / left, RSS: max(b.RSS-s.rest*s.rest/left, 0), Left: left}
		}
		added, columns = added[n:], columns[n:]
	}
}

// whiten takes the autoregression out of a column's rows from one on.
func (b *Base) whiten(number int, column []float64, from int) []float64 {
	w := b.white[number][from:]
	if from == 0 {
		PraisWinsten(w, column, b.phi)
		return w
	}
	// The row before is 0: nothing to take off.
	last := 0.0
	for i, v := range column[from:][:len(w)] {
		w[i] = v - b.phi*last
		last = v
	}
	return w
}

// sums are the products of a column with the rest, with itself, and with the first
// and the second of the basis.
type sums struct{ rest, itself, first, second float64 }

// products are those of w with a, with itself, and with b and c, which may be nil:
// four sums at once take little longer than one, whose additions wait for each other.
func products(w, a, b, c []float64) (s sums) {
	if b == nil || c == nil {
		s.rest, s.itself = dot(w, a), dot(w, w)
		if b != nil {
			s.first = dot(b, w)
		}
		return s
	}
	a, b, c = a[:len(w)], b[:len(w)], c[:len(w)]
	for i, v := range w {
		s.rest += v * a[i]
		s.itself += v * v
		s.first += b[i] * v
		s.second += c[i] * v
	}
	return s
}

// productsOfTwo are those of v and w, in the same order of additions.
func productsOfTwo(v, w, a, b, c []float64) (s, t sums) {
	w, a, b, c = w[:len(v)], a[:len(v)], b[:len(v)], c[:len(v)]
	var va, vv, vb, vc, wa, ww, wb, wc float64
	for i, x := range v {
		y, f := w[i], a[i]
		va += x * f
		wa += y * f
		f = b[i]
		vb += x * f
		wb += y * f
		f = c[i]
		vc += x * f
		wc += y * f
		vv += x * x
		ww += y * y
	}
	return sums{va, vv, vb, vc}, sums{wa, ww, wb, wc}
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
