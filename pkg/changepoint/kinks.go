package changepoint

import (
	"fmt"
	"math"
	"slices"
)

// Curve is a continuous piecewise-linear curve through its knots.
type Curve struct {
	// Knots are indices into the sequence, the first 0 and the last n−1.
	Knots []int
	// Heights are the curve's values at the knots.
	Heights []float64
	RSS     float64
}

// Slopes returns the slope per unit of t of each piece; t are the abscissae
// that the curve was fitted over.
func (c Curve) Slopes(t []float64) []float64 {
	s := make([]float64, len(c.Knots)-1)
	for i := range s {
		a, b := c.Knots[i], c.Knots[i+1]
		s[i] = (c.Heights[i+1] - c.Heights[i]) / (t[b] - t[a])
	}
	return s
}

// At returns the curve's value at abscissa x, level outside the knots.
func (c Curve) At(t []float64, x float64) float64 {
	for i := 1; i < len(c.Knots); i++ {
		a, b := t[c.Knots[i-1]], t[c.Knots[i]]
		if x <= b {
			u := min(max((x-a)/(b-a), 0), 1)
			return c.Heights[i-1] + u*(c.Heights[i]-c.Heights[i-1])
		}
	}
	return c.Heights[len(c.Heights)-1]
}

// Kinks returns the continuous piecewise-linear curve with knots among the
// sample points that minimises RSS + penalty·(number of inner knots). Inner
// knots lie at least minLength samples apart. t is strictly ascending and may
// be uneven.
//
// The functional dynamic programme of Fearnhead, Maidstone & Letchford 2019,
// Journal of Computational and Graphical Statistics 28, 265–275. Cost is
// between linear and quadratic in the length; use [KinksCoarse] beyond a
// thousand samples.
//
// It fails, wrapping [ErrInput], for too few or unusable values, abscissae that
// do not ascend or are not as many, and a penalty or length that is not
// positive.
func Kinks(t, y []float64, penalty float64, minLength int) (Curve, error) {
	if err := check(y, max(minLength, 2), 1); err != nil {
		return Curve{}, err
	}
	if err := ascending(t, len(y)); err != nil {
		return Curve{}, err
	}
	if !(penalty > 0) || minLength < 1 {
		return Curve{}, fmt.Errorf("changepoint: penalty %v, minimum length %d: %w: both must be positive", penalty, minLength, ErrInput)
	}
	return kinks(t, y, penalty, minLength), nil
}

func ascending(t []float64, n int) error {
	if len(t) != n {
		return fmt.Errorf("changepoint: %d abscissae for %d values: %w", len(t), n, ErrInput)
	}
	for i := 1; i < n; i++ {
		if !(t[i] > t[i-1]) {
			return fmt.Errorf("changepoint: abscissa %d (%v) is not above the one before (%v): %w", i, t[i], t[i-1], ErrInput)
		}
	}
	return nil
}

// parabola is the least cost up to a knot as a function of the height there:
// a·h² + b·h + c. parent tells which parabola at which knot it came from.
type parabola struct {
	a, b, c    float64
	knot, from int32 // the knot before and the number of its parabola
}

func (p parabola) least() float64 { return p.c - p.b*p.b/(4*p.a) }

func kinks(t, y []float64, penalty float64, minLength int) Curve {
	n := len(y)
	s := newPieces(t, y)
	best := make([][]parabola, n)
	y0 := y[0] - s.Centre
	best[0] = []parabola{{a: 1, b: -2 * y0, c: y0 * y0, knot: -1}}
	type candidate struct{ knot, number int32 }
	active := []candidate{{0, 0}}
	var all []parabola
	var born []candidate
	for k := 1; k < n; k++ {
		all, born = all[:0], born[:0]
		low := math.Inf(1)
		for _, c := range active {
			if k-int(c.knot) < minLength && k != n-1 {
				continue
			}
			p := s.extend(best[c.knot][c.number], int(c.knot), k)
			p.knot, p.from = c.knot, c.number
			if c.knot > 0 {
				p.c += penalty
			}
			all, born = append(all, p), append(born, c)
			low = min(low, p.least())
		}
		if len(all) == 0 {
			continue
		}
		// What is worse than the best by twice the penalty can't come back. born
		// are some of the active ones, in their order.
		kept, i := active[:0], 0
		for _, c := range active {
			drop := false
			if i < len(born) && c == born[i] {
				drop = all[i].least() > low+2*penalty
				i++
			}
			if !drop {
				kept = append(kept, c)
			}
		}
		active = kept
		best[k] = envelope(all)
		for i := range best[k] {
			active = append(active, candidate{int32(k), int32(i)})
		}
	}
	return s.trace(best, t)
}

// trace follows the parents back from the last sample and fits the heights.
func (s *pieces) trace(best [][]parabola, t []float64) Curve {
	n := len(t)
	p := best[n-1][0]
	for _, q := range best[n-1][1:] {
		if q.least() < p.least() {
			p = q
		}
	}
	h := -p.b / (2 * p.a)
	knots, heights := []int{n - 1}, []float64{h}
	k := n - 1
	for p.knot >= 0 {
		q := best[p.knot][p.from]
		h = s.before(q, int(p.knot), k, h)
		k, p = int(p.knot), q
		knots, heights = append(knots, k), append(heights, h)
	}
	slices.Reverse(knots)
	slices.Reverse(heights)
	for i := range heights {
		heights[i] += s.Centre
	}
	c := Curve{Knots: knots, Heights: heights}
	for i := 1; i < len(knots); i++ {
		a, b := knots[i-1], knots[i]
		for j := a; j < b; j++ {
			c.RSS += square(s.y[j] - c.Heights[i-1] - (c.Heights[i]-c.Heights[i-1])*(t[j]-t[a])/(t[b]-t[a]))
		}
	}
	c.RSS += square(s.y[n-1] - c.Heights[len(heights)-1])
	return c
}

func square(x float64) float64 { return x * x }

// envelope keeps the parabolas that are lowest somewhere.
func envelope(all []parabola) []parabola {
	cur := 0 // lowest for h → −∞: smallest a, then largest b
	for i, p := range all {
		q := all[cur]
		if p.a < q.a || (p.a == q.a && (p.b > q.b || (p.b == q.b && p.c < q.c))) {
			cur = i
		}
	}
	keep := []parabola{all[cur]}
	used := make([]bool, len(all))
	used[cur] = true
	for h := math.Inf(-1); ; {
		next, at := -1, math.Inf(1)
		for i, p := range all {
			if i == cur {
				continue
			}
			if x := firstBelow(p, all[cur], h); x < at {
				next, at = i, x
			}
		}
		if next < 0 || len(keep) > len(all) {
			return keep
		}
		if !used[next] {
			keep, used[next] = append(keep, all[next]), true
		}
		cur, h = next, at
	}
}

// firstBelow returns the first h above the given one at which p goes below q,
// +Inf if never.
func firstBelow(p, q parabola, above float64) float64 {
	a, b, c := p.a-q.a, p.b-q.b, p.c-q.c
	if math.Abs(a) <= 1e-13*(math.Abs(p.a)+math.Abs(q.a)) {
		if b < 0 {
			if x := -c / b; x > above {
				return x
			}
		}
		return math.Inf(1)
	}
	det := b*b - 4*a*c
	if det <= 0 {
		return math.Inf(1)
	}
	r := math.Sqrt(det)
	down := (-b - r) / (2 * a) // p−q falls through zero here, whatever a's sign
	if down > above {
		return down
	}
	return math.Inf(1)
}
