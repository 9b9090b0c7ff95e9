package contrast

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"
)

// Sources of uncertainty beside the covariates, whose names are theirs.
const (
	ScatterSource = "scatter between drives"
	OwnSource     = "within the drives"
	OffsetSource  = "another or refitted probe"
)

// Posterior is what is known of δ after the drives: a mixture of normal
// distributions, one for each pair of scatters on the grid.
type Posterior struct {
	design          *design
	parts           []normal
	step, ratioStep float64 // of the grid
}

// normal is the posterior of δ where the scatters are known.
type normal struct {
	weight, mean, variance float64
	log, ratio             float64 // ln τ and ln(after/before)
	// beta solves the normal equations; pick does for the target's unit vector,
	// so that the target is a sum over rows of precision·(row·pick)·y.
	beta, pick []float64
}

// Below returns the probability that δ < x.
func (p *Posterior) Below(x float64) float64 {
	sum := 0.0
	for _, n := range p.parts {
		sum += n.weight * distuv.UnitNormal.CDF((x-n.mean)/math.Sqrt(n.variance))
	}
	return sum
}

// Quantile returns the δ below which it lies with probability q, 0 < q < 1;
// NaN outside.
func (p *Posterior) Quantile(q float64) float64 {
	if !(q > 0 && q < 1) {
		return math.NaN()
	}
	centre, variance := p.Mean(), 0.0
	for _, n := range p.parts {
		variance += n.weight * (n.variance + (n.mean-centre)*(n.mean-centre))
	}
	// No quantile lies further from the mean than this (Cantelli's inequality).
	deviation := math.Sqrt(variance)
	return bisect(p.Below, q, centre-deviation*math.Sqrt((1-q)/q), centre+deviation*math.Sqrt(q/(1-q)))
}

// bisect finds where the increasing f passes q, to a part in 10⁹ of the bracket:
// by the straight line between the ends, the end that stays being weighed down
// (Illinois method, M. Dowell, P. Jarratt, BIT 11 (1971) 168–174), and by halves
// where that gets nowhere.
func bisect(f func(float64) float64, q, low, high float64) float64 {
	below, above := f(low)-q, f(high)-q
	if below >= 0 || above <= 0 {
		for tolerance := 1e-9 * (high - low); high-low > tolerance; {
			if mid := (low + high) / 2; f(mid) < q {
				low = mid
			} else {
				high = mid
			}
		}
		return (low + high) / 2
	}
	side := 0
	for i, tolerance := 0, 1e-9*(high-low); high-low > tolerance; i++ {
		x := (low*above - high*below) / (above - below)
		if i%3 == 2 {
			x = (low + high) / 2
		}
		switch y := f(x) - q; {
		case math.Abs(y) < 1e-10:
			return x
		case y < 0:
			low, below = x, y
			if side < 0 {
				above /= 2
			}
			side = -1
		default:
			high, above = x, y
			if side > 0 {
				below /= 2
			}
			side = 1
		}
	}
	return (low + high) / 2
}

// Interval returns the central interval of the level, 0 < level < 1.
func (p *Posterior) Interval(level float64) (low, high float64) {
	return p.Quantile((1 - level) / 2), p.Quantile((1 + level) / 2)
}

// Mean returns the posterior mean of δ.
func (p *Posterior) Mean() float64 {
	sum := 0.0
	for _, n := range p.parts {
		sum += n.weight * n.mean
	}
	return sum
}

// scatters are those of the two sides.
func (n normal) scatters() [2]float64 {
	return [2]float64{math.Exp(n.log - n.ratio/2), math.Exp(n.log + n.ratio/2)}
}

// Scatter returns the quantile q, 0 < q < 1, of the scatter between drives of
// one side.
func (p *Posterior) Scatter(after bool, q float64) float64 {
	sign := -0.5
	if after {
		sign = 0.5
	}
	half := (p.step + p.ratioStep/2) / 2 // a node stands for the cell around it
	low, high := math.Inf(1), math.Inf(-1)
	for _, n := range p.parts {
		low, high = math.Min(low, n.log+sign*n.ratio-half), math.Max(high, n.log+sign*n.ratio+half)
	}
	below := func(x float64) float64 {
		sum := 0.0
		for _, n := range p.parts {
			sum += n.weight * math.Min(1, math.Max(0, (x-(n.log+sign*n.ratio-half))/(2*half)))
		}
		return sum
	}
	return math.Exp(bisect(below, q, low, high))
}

// Share is one source's part of the variance of δ.
type Share struct {
	Source string
	Part   float64 // 0 to 1
}

// Budget returns who contributes how much to the variance of δ, largest first;
// the parts add up to 1. Given the scatters δ is a sum over drives and priors,
// so each row's part is exact; the parts are averaged over the scatters, and
// what δ moves with them counts as scatter.
func (p *Posterior) Budget() []Share {
	d := p.design
	variance := map[string]float64{}
	mean := p.Mean()
	for _, n := range p.parts {
		for i, row := range d.x {
			c := floats.Dot(row, n.pick)
			if i >= d.n {
				variance[d.source[i-d.n]] += n.weight * c * c / d.own[i]
				continue
			}
			tau := n.scatters()[d.side[i]]
			c /= tau*tau + d.own[i]
			variance[ScatterSource] += n.weight * c * c * tau * tau
			variance[OwnSource] += n.weight * c * c * d.own[i]
		}
		variance[ScatterSource] += n.weight * (n.mean - mean) * (n.mean - mean)
	}
	total := 0.0
	for _, v := range variance {
		total += v
	}
	var shares []Share
	for s, v := range variance {
		if v > 0 {
			shares = append(shares, Share{s, v / total})
		}
	}
	slices.SortFunc(shares, func(a, b Share) int {
		return cmp.Or(cmp.Compare(b.Part, a.Part), cmp.Compare(a.Source, b.Source))
	})
	return shares
}
