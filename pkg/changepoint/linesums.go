package changepoint

// lineSums are running sums over t and y for fits of straight pieces.
type lineSums struct {
	t, y, n, st, stt, sy, sty, syy []float64
	centre                         float64 // of y
	origin                         float64 // of t
}

func newLineSums(t, y []float64) *lineSums {
	n := len(y)
	s := &lineSums{t: t, y: y}
	for i, v := range y {
		s.centre += (v - s.centre) / float64(i+1)
	}
	s.origin = (t[0] + t[n-1]) / 2
	for _, p := range []*[]float64{&s.st, &s.stt, &s.sy, &s.sty, &s.syy} {
		*p = make([]float64, n+1)
	}
	for i := range y {
		x, v := t[i]-s.origin, y[i]-s.centre
		s.st[i+1] = s.st[i] + x
		s.stt[i+1] = s.stt[i] + x*x
		s.sy[i+1] = s.sy[i] + v
		s.sty[i+1] = s.sty[i] + x*v
		s.syy[i+1] = s.syy[i] + v*v
	}
	return s
}

// piece holds the cost of a straight piece from height g at knot a to height
// h at knot b, over the samples after a up to b: gg·g² + gh·g·h + hh·h² + g·g
// + h·h + one.
type piece struct{ gg, gh, hh, g, h, one float64 }

func (s *lineSums) piece(a, b int) piece {
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
	return piece{gg: n - 2*u + uu, gh: 2 * (u - uu), hh: uu,
		g: -2 * (sy - uy), h: -2 * uy, one: s.syy[hi] - s.syy[lo]}
}

// extend minimises q(g) + piece(g, h) over g.
func (s *lineSums) extend(q parabola, a, b int) parabola {
	p := s.piece(a, b)
	A, B := q.a+p.gg, q.b+p.g
	return parabola{
		a: p.hh - p.gh*p.gh/(4*A),
		b: p.h - p.gh*B/(2*A),
		c: q.c + p.one - B*B/(4*A),
	}
}

// before returns the height at knot a that goes with height h at knot b.
func (s *lineSums) before(q parabola, a, b int, h float64) float64 {
	p := s.piece(a, b)
	return -(q.b + p.g + p.gh*h) / (2 * (q.a + p.gg))
}
