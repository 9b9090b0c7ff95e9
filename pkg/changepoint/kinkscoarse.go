package changepoint

import (
	"fmt"
	"slices"
)

// KinksCoarse is [Kinks] for long sequences: it searches block means and then
// moves each knot to the best sample between its neighbours' blocks. Cost is
// linear in the length. penalty is per knot in units of the full sequence. It
// fails as Kinks does, and for fewer than 16 blocks.
func KinksCoarse(t, y []float64, penalty float64, minLength, blocks int) (Curve, error) {
	if blocks < 16 {
		return Curve{}, fmt.Errorf("changepoint: %d blocks: %w: at least 16 are needed", blocks, ErrInput)
	}
	size := (len(y) + blocks - 1) / blocks
	if size < 2 {
		return Kinks(t, y, penalty, minLength)
	}
	if err := check(y, max(minLength, 2), 1); err != nil {
		return Curve{}, err
	}
	if err := ascending(t, len(y)); err != nil {
		return Curve{}, err
	}
	coarse := kinks(blockMeans(t, size), blockMeans(y, size), penalty/float64(size), max(1, minLength/size))
	n := len(y)
	knots := []int{0}
	for _, k := range coarse.Knots[1 : len(coarse.Knots)-1] {
		knots = append(knots, k*size+size/2)
	}
	knots = append(knots, n-1)
	s := newPieces(t, y)
	s.settle(knots, size, minLength)
	knots = s.dropIdle(knots, penalty)
	s.settle(knots, size, minLength)
	heights, rss := s.heights(knots)
	return Curve{Knots: knots, Heights: heights, RSS: rss}, nil
}

// settle moves the inner knots, in ever shorter steps.
func (s *pieces) settle(knots []int, size, minLength int) {
	for reach := size; reach >= 1; reach /= 2 {
		for i := 1; i+1 < len(knots); i++ {
			s.moveKnot(knots, i, reach, max(minLength, 1))
		}
	}
}

// dropIdle removes inner knots that are not worth the penalty.
func (s *pieces) dropIdle(knots []int, penalty float64) []int {
	for len(knots) > 2 {
		_, all := s.heights(knots)
		worst, least := -1, penalty
		for i := 1; i+1 < len(knots); i++ {
			_, rss := s.heights(slices.Concat(knots[:i], knots[i+1:]))
			if rss-all < least {
				worst, least = i, rss-all
			}
		}
		if worst < 0 {
			break
		}
		knots = slices.Delete(knots, worst, worst+1)
	}
	return knots
}

// moveKnot tries knot i a reach to either side, as long as that helps.
func (s *pieces) moveKnot(knots []int, i, reach, minLength int) {
	lo, hi := max(0, i-2), min(len(knots)-1, i+2)
	local := slices.Clone(knots[lo : hi+1])
	_, best := s.heights(local)
	for range 8 {
		moved := false
		for _, k := range []int{knots[i] - reach, knots[i] + reach} {
			if k-knots[i-1] < minLength || knots[i+1]-k < minLength {
				continue
			}
			local[i-lo] = k
			if _, v := s.heights(local); v < best {
				best, knots[i], moved = v, k, true
			}
		}
		local[i-lo] = knots[i]
		if !moved {
			return
		}
	}
}

// heights fits the heights at given knots by least squares over the samples
// from the first to the last knot, in one sweep forth and back.
func (s *pieces) heights(knots []int) ([]float64, float64) {
	y0 := s.y[knots[0]] - s.Centre
	p := parabola{a: 1, b: -2 * y0, c: y0 * y0}
	chain := append(make([]parabola, 0, len(knots)), p)
	for i := 1; i < len(knots); i++ {
		p = s.extend(p, knots[i-1], knots[i])
		chain = append(chain, p)
	}
	last := len(knots) - 1
	h := make([]float64, len(knots))
	h[last] = -p.b / (2 * p.a)
	for i := last; i > 0; i-- {
		h[i-1] = s.before(chain[i-1], knots[i-1], knots[i], h[i])
	}
	for i := range h {
		h[i] += s.Centre
	}
	return h, max(p.least(), 0)
}
