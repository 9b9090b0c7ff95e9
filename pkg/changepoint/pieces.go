package changepoint

import "github.com/bonnetbook/bonnetbook/pkg/regression"

// pieces costs straight pieces between two knots of a sequence.
type pieces struct {
	*regression.UnevenSums
	t, y []float64
}

func newPieces(t, y []float64) *pieces {
	return &pieces{UnevenSums: regression.NewUnevenSums(t, y), t: t, y: y}
}

// extend minimises q(g) + Piece(g, h) over g.
func (s *pieces) extend(q parabola, a, b int) parabola {
	p := s.Piece(a, b)
	A, B := q.a+p.GG, q.b+p.G
	return parabola{
		a: p.HH - p.GH*p.GH/(4*A),
		b: p.H - p.GH*B/(2*A),
		c: q.c + p.One - B*B/(4*A),
	}
}

// before returns the height at knot a that goes with height h at knot b.
func (s *pieces) before(q parabola, a, b int, h float64) float64 {
	p := s.Piece(a, b)
	return -(q.b + p.G + p.GH*h) / (2 * (q.a + p.GG))
}
