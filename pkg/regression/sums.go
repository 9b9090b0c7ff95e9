package regression

// Sums answers the residual sum of squares of a level or a straight line over
// any stretch of an evenly spaced sequence in constant time, from running
// sums. Values are taken about the mean of the sequence and indices about the
// stretch's own middle, to keep the digits.
type Sums struct {
	y, yy, iy []float64 // sums of y, y², i·y over [0,k); iy for lines only
	centre    float64
}

// NewSums sums x up, for levels or, with lines, for straight lines. x has no
// NaN.
func NewSums(x []float64, lines bool) *Sums {
	s := &Sums{y: make([]float64, len(x)+1), yy: make([]float64, len(x)+1)}
	for i, v := range x {
		s.centre += (v - s.centre) / float64(i+1)
	}
	if lines {
		s.iy = make([]float64, len(x)+1)
	}
	for i, v := range x {
		v -= s.centre
		s.y[i+1] = s.y[i] + v
		s.yy[i+1] = s.yy[i] + v*v
		if s.iy != nil {
			s.iy[i+1] = s.iy[i] + float64(i)*v
		}
	}
	return s
}

// RSS returns the residual sum of squares over the half-open stretch [a, b),
// b above a.
func (s *Sums) RSS(a, b int) float64 {
	n := float64(b - a)
	sy := s.y[b] - s.y[a]
	r := s.yy[b] - s.yy[a] - sy*sy/n
	if s.iy != nil && b-a > 1 {
		mid := (float64(a) + float64(b-1)) / 2
		siy := s.iy[b] - s.iy[a] - mid*sy
		r -= siy * siy / (n * (n*n - 1) / 12)
	}
	return max(r, 0)
}

// Mean returns the mean over [a, b).
func (s *Sums) Mean(a, b int) float64 { return s.centre + (s.y[b]-s.y[a])/float64(b-a) }

// UnevenSums are running sums over t and y for straight pieces between two
// samples of a sequence that need not be evenly spaced.
type UnevenSums struct {
	// Centre is the mean of y; heights of pieces count from there.
	Centre float64

	t                     []float64
	origin                float64   // of t
	st, stt, sy, sty, syy []float64 // over [0,k)
}

// NewUnevenSums sums y up over t, which is ascending and as long. Neither has
// a NaN.
func NewUnevenSums(t, y []float64) *UnevenSums {
	n := len(y)
	s := &UnevenSums{t: t}
	for i, v := range y {
		s.Centre += (v - s.Centre) / float64(i+1)
	}
	s.origin = (t[0] + t[n-1]) / 2
	for _, p := range []*[]float64{&s.st, &s.stt, &s.sy, &s.sty, &s.syy} {
		*p = make([]float64, n+1)
	}
	for i := range y {
		x, v := t[i]-s.origin, y[i]-s.Centre
		s.st[i+1] = s.st[i] + x
		s.stt[i+1] = s.stt[i] + x*x
		s.sy[i+1] = s.sy[i] + v
		s.sty[i+1] = s.sty[i] + x*v
		s.syy[i+1] = s.syy[i] + v*v
	}
	return s
}

// Piece is the residual sum of squares of a straight piece from height g at
// one sample to height h at another, heights above Centre:
// GG·g² + GH·g·h + HH·h² + G·g + H·h + One.
type Piece struct{ GG, GH, HH, G, H, One float64 }

// Piece returns that of the piece from sample a to sample b, over the samples
// after a up to b.
func (s *UnevenSums) Piece(a, b int) Piece {
	lo, hi := a+1, b+1
	n := float64(hi - lo)
	x0, d := s.t[a]-s.origin, s.t[b]-s.t[a]
	sx := s.st[hi] - s.st[lo]
	sxx := s.stt[hi] - s.stt[lo]
	sy := s.sy[hi] - s.sy[lo]
	sxy := s.sty[hi] - s.sty[lo]
	u := (sx - n*x0) / d
	uu := (sxx - 2*x0*sx + n*x0*x0) / (d * d)
	uy := (sxy - x0*sy) / d
	return Piece{GG: n - 2*u + uu, GH: 2 * (u - uu), HH: uu,
		G: -2 * (sy - uy), H: -2 * uy, One: s.syy[hi] - s.syy[lo]}
}
