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
	OffsetSource  = "refitted probe"
)

// Posterior is what is known of δ after the drives: a mixture of normal
// distributions, one for each pair of scatters on the grid.
type Posterior struct {
	design *design
	parts  []normal
}

// normal is the posterior of δ where the scatters are known.
type normal struct {
	weight, mean, variance float64
	scatter                [2]float64
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
	centre, spread := p.Mean(), 0.0
	for _, n := range p.parts {
		spread = math.Max(spread, math.Sqrt(n.variance)+math.Abs(n.mean-centre))
	}
	return bisect(p.Below, q, centre-40*spread, centre+40*spread)
}

// bisect finds where the increasing f passes q, to a part in 10⁹ of the bracket.
func bisect(f func(float64) float64, q, low, high float64) float64 {
	for tolerance := 1e-9 * (high - low); high-low > tolerance; {
		mid := (low + high) / 2
		if f(mid) < q {
			low = mid
		} else {
			high = mid
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

// Scatter returns the quantile q of the scatter between drives of one side, to
// a few per cent: the grid's step.
func (p *Posterior) Scatter(after bool, q float64) float64 {
	side := Observation{After: after}.side()
	parts := slices.Clone(p.parts)
	slices.SortFunc(parts, func(a, b normal) int { return cmp.Compare(a.scatter[side], b.scatter[side]) })
	sum, last, lastSum := 0.0, 0.0, 0.0
	for _, n := range parts {
		middle := sum + n.weight/2 // a node stands for the cell around it
		if middle >= q {
			return last + (n.scatter[side]-last)*(q-lastSum)/(middle-lastSum)
		}
		sum, last, lastSum = sum+n.weight, n.scatter[side], middle
	}
	return last
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
			tau := n.scatter[d.side[i]]
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
