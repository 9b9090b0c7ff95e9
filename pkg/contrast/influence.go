package contrast

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/internal/parallel"
)

// Without is the answer without one drive.
type Without struct {
	Drive string
	// Delta is the median without it, Low and High the interval; NaN where it
	// is the only drive of its group.
	Delta, Low, High float64
	// Surprise is the probability that the others gave to a value at least as
	// far away as this drive's; NaN where its group has no other.
	Surprise float64
	// Odd says that the others did not expect it: Surprise below [OddBelow]
	// shared among the drives. Of a group of two both are odd, or none.
	Odd bool
}

// OddBelow is the chance that a drive is called odd in a campaign where none
// is, shared among its drives (Bonferroni).
const OddBelow = 0.1

// Influence leaves out each drive in turn. It removes nothing. It fails as
// [Fit] does.
func Influence(obs []Observation, m Model, level float64) ([]Without, error) {
	if err := m.check(obs); err != nil {
		return nil, err
	}
	all, errs := make([]Without, len(obs)), make([]error, len(obs))
	whole := newDesign(obs, m)
	parallel.Each(len(obs), func(i int) {
		all[i], errs[i] = without(i, obs, m, whole, level)
	})
	both(all, obs)
	return all, errors.Join(errs...)
}

// both calls the two drives of a group of two odd where one is: which of them it is
// nobody can tell.
func both(all []Without, obs []Observation) {
	for _, after := range []bool{false, true} {
		var side []int
		for i, o := range obs {
			if o.After == after {
				side = append(side, i)
			}
		}
		if len(side) == 2 {
			odd := all[side[0]].Odd || all[side[1]].Odd
			all[side[0]].Odd, all[side[1]].Odd = odd, odd
		}
	}
}

// without leaves out drive i.
func without(i int, obs []Observation, m Model, whole *design, level float64) (Without, error) {
	o := obs[i]
	rest := append(append([]Observation{}, obs[:i]...), obs[i+1:]...)
	w := Without{Drive: o.Name, Delta: math.NaN(), Low: math.NaN(), High: math.NaN(), Surprise: math.NaN()}
	p, err := Fit(rest, m)
	if errors.Is(err, ErrTooFew) {
		return w, nil
	} else if err != nil {
		return w, err
	}
	w.Delta = p.Quantile(0.5)
	w.Low, w.High = p.Interval(level)
	w.Surprise = p.surprise(o, whole, i)
	w.Odd = w.Surprise < OddBelow/float64(len(obs))
	return w, nil
}

// surprise is the two-sided tail probability of drive i of the whole by the
// posterior of the others.
func (p *Posterior) surprise(o Observation, whole *design, i int) float64 {
	row, y := whole.x[i], whole.y[i]
	below := 0.0
	w := p.design.workspace()
	for _, n := range p.parts {
		mean := floats.Dot(row, n.beta)
		tau := n.scatters()[o.side()]
		variance := p.design.spread(w, row, n.scatters()) + tau*tau + o.Uncertainty*o.Uncertainty
		below += n.weight * distuv.UnitNormal.CDF((y-mean)/math.Sqrt(variance))
	}
	return 2 * math.Min(below, 1-below)
}
