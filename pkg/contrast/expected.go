package contrast

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack/lapack64"

	"github.com/bonnetbook/bonnetbook/pkg/internal/parallel"
)

// futures is how many outcomes of the next drives are averaged over. Few drives
// leave the scatter open, and the width with it; of many drives one outcome is like
// another.
func futures(drives int) int { return max(16, min(64, 1600/drives)) }

// Expected returns the half-width of the interval of the level that the drives
// which p was fitted on lead one to expect after the next ones, whose values are not
// looked at: the mean over what they may show. Scatter, means and coefficients are
// drawn from the posterior and the next values from those (the posterior predictive
// distribution: A. Gelman and others, Bayesian Data Analysis, 3rd ed. 2013, 1.3),
// and the same model is fitted on all of them in the conditions that they have.
// Without a next drive it is the half-width of p itself. NaN where a next drive
// can't be fitted.
func (p *Posterior) Expected(m Model, obs, next []Observation, level float64) float64 {
	if len(next) == 0 {
		low, high := p.Interval(level)
		return (high - low) / 2
	}
	all := slices.Concat(obs, next)
	if m.check(all) != nil {
		return math.NaN()
	}
	n := futures(len(obs))
	given, halves := p.spaced(n), make([]float64, n)
	parallel.Each(n, func(i int) {
		// The same chances for each number of next drives: a curve over it is smooth.
		d, random := newDesign(all, m), rand.New(rand.NewPCG(uint64(i), 1))
		if halves[i] = math.NaN(); p.foretell(d, given[i], random) {
			low, high := integrate(d, m, 1)[0].Interval(level)
			halves[i] = (high - low) / 2
		}
	})
	return floats.Sum(halves) / float64(n)
}

// spaced are n parts that stand for equal shares of the weight.
func (p *Posterior) spaced(n int) []normal {
	all, at, below := make([]normal, n), 0, p.parts[0].weight
	for i := range all {
		for below < (float64(i)+0.5)/float64(n) && at < len(p.parts)-1 {
			at++
			below += p.parts[at].weight
		}
		all[i] = p.parts[at]
	}
	return all
}

// foretell draws what the drives of d show that p was not fitted on, where the
// scatters are those of one part.
func (p *Posterior) foretell(d *design, given normal, random *rand.Rand) bool {
	w, scatters := p.design.workspace(), given.scatters()
	p.design.fill(w, scatters)
	factor, ok := lapack64.Potrf(w.normal)
	if !ok {
		return false
	}
	about := blas64.Vector{N: d.columns, Inc: 1, Data: make([]float64, d.columns)}
	for i := range about.Data {
		about.Data[i] = random.NormFloat64()
	}
	blas64.Trsv(blas.NoTrans, factor, about)
	floats.Add(about.Data, given.beta)
	for i := p.design.n; i < d.n; i++ {
		d.y[i] = floats.Dot(d.x[i], about.Data) + math.Sqrt(scatters[d.side[i]]*scatters[d.side[i]]+d.own[i])*random.NormFloat64()
	}
	d.gather()
	return true
}
