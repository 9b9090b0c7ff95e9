package heat

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// The rise over ambient at one instant, with everything relative to driving at
// a speed v₀ on the level:
//
//	rise = block·g(v) + source·L·g(v) + way·x^−q + fixed
//	g(v) = ((1 + v₀/d)/(1 + v/d))^e
//
// x is the engine's air flow. block is what a coolant of constant temperature
// gives to the bay, diluted by the air that the speed presses through it; e is
// above 1 where the engine also draws less of the bay's air the faster it goes.
// source goes with the heat that fuel sets free, which reaches coolant,
// radiator, exhaust and bay after a while: L is x^m after a first-order lag.
// way is what the air takes up on its way in: less, the more air there is.
//
// A drive tells the four parts apart as far as its loads and speeds differ.
// What it leaves open is held by priors, and an answer is averaged over all
// shapes (d, m, q and the lag) by how well they fit.
//
// Sources: heat to the coolant goes with fuel to a power of 0.75 to 1 (Taylor
// and Toong, from memory), and that to the bay to a lower one where the radiator
// is at its limit and the coolant hotter than its level (judgement: 0.45); pick-up falls with the flow by an exponent of 0.2
// (turbulent, Dittus–Boelter) to 1 (heat that does not depend on the flow).
// The priors of the parts are judgement, wide enough for both simulators.
type shape struct{ dilution, steepness, power, exponent, lag, exhaust float64 }

// shapes are those that are averaged, equal in weight beforehand.
func shapes() (all []shape) {
	for _, d := range [][2]float64{{20, 1}, {8, 1}, {4, 1}, {6, 1.6}} {
		for _, m := range []float64{0.45, 0.75, 1.05} {
			for _, q := range []float64{0.2, 0.6, 1} {
				for _, tau := range []float64{40, 110, 300} {
					all = append(all, shape{dilution: d[0], steepness: d[1], power: m, exponent: q, lag: tau})
				}
			}
		}
	}
	return all
}

// A prior is a normal distribution of a part, as a share of the rise.
type prior struct{ mean, deviation float64 }

// partPriors are those of block, source, way and fixed.
var partPriors = []prior{{0.22, 0.2}, {0.55, 0.25}, {0.15, 0.12}, {0.08, 0.15}}

// state is what the rise depends on at one instant: speed in m/s, flow and
// lagged flow, relative to those at the reference speed on the level.
type state struct{ speed, flow, heat float64 }

// thinned is g: how far the speed thins what the bay gives.
func (s shape) thinned(speed, reference float64) float64 {
	return math.Pow((1+reference/s.dilution)/(1+speed/s.dilution), s.steepness)
}

// terms are what the parts are multiplied by.
func (s shape) terms(x state, reference float64) []float64 {
	g := s.thinned(x.speed, reference)
	return []float64{g, x.heat * g, math.Pow(x.flow, -s.exponent), 1}
}

// fittedShape is one shape with the posterior of its parts in K.
type fittedShape struct {
	shape
	log        float64 // of its marginal likelihood
	weight     float64
	part       []float64
	covariance *mat.SymDense
}

// fit finds the posterior of the parts from rises and terms: normal, each
// reading with the variance noise. scale is the rise that the priors are
// shares of. It reports false where the numbers allow none.
func (s shape) fit(rise []float64, terms [][]float64, priors []prior, scale, noise float64) (fittedShape, bool) {
	n := len(priors)
	f := fittedShape{shape: s, part: make([]float64, n), covariance: mat.NewSymDense(n, nil)}
	precision := mat.NewSymDense(n, nil)
	right := mat.NewVecDense(n, nil)
	for i, p := range priors {
		u := p.deviation * scale
		precision.SetSym(i, i, 1/(u*u))
		right.SetVec(i, p.mean*scale/(u*u))
		f.log -= math.Log(u)
	}
	for k, x := range terms {
		for i := range n {
			right.SetVec(i, right.AtVec(i)+x[i]*rise[k]/noise)
			for j := i; j < n; j++ {
				precision.SetSym(i, j, precision.At(i, j)+x[i]*x[j]/noise)
			}
		}
	}
	var c mat.Cholesky
	var part mat.VecDense
	if !c.Factorize(precision) || c.InverseTo(f.covariance) != nil || c.SolveVecTo(&part, right) != nil {
		return f, false
	}
	f.log -= c.LogDet() / 2
	for i, p := range priors {
		f.part[i] = part.AtVec(i)
		z := (f.part[i] - p.mean*scale) / (p.deviation * scale)
		f.log -= z * z / 2
	}
	for k, x := range terms {
		e := rise[k] - f.at(x)
		f.log -= e * e / noise / 2
	}
	return f, !math.IsNaN(f.log)
}

func (f fittedShape) at(x []float64) (value float64) {
	for i, p := range f.part {
		value += p * x[i]
	}
	return value
}

// variance is that of the value at x by what the parts leave open.
func (f fittedShape) variance(x []float64) (v float64) {
	for i := range x {
		for j := range x {
			v += x[i] * x[j] * f.covariance.At(i, j)
		}
	}
	return v
}

// fitAll fits all shapes, with the noise that the best one leaves times misfit,
// and weighs them by how well they fit.
func fitAll(rise []float64, shapes []shape, terms func(shape) [][]float64, priors []prior, scale, misfit float64) []fittedShape {
	var all []fittedShape
	designs := make([][][]float64, len(shapes))
	for i, s := range shapes {
		designs[i] = terms(s)
	}
	noise := 1.0
	for range 2 {
		all = all[:0]
		var residuals []float64
		best := math.Inf(-1)
		for i, s := range shapes {
			x := designs[i]
			f, ok := s.fit(rise, x, priors, scale, noise)
			if !ok {
				continue
			}
			all = append(all, f)
			if f.log > best {
				best, residuals = f.log, make([]float64, len(rise))
				for k := range rise {
					residuals[k] = rise[k] - f.at(x[k])
				}
			}
		}
		if len(all) == 0 {
			return nil
		}
		noise = misfit * independentNoise(residuals)
	}
	log, weight := make([]float64, len(all)), make([]float64, len(all))
	for i, f := range all {
		log[i] = f.log
	}
	regression.Normalise(weight, log)
	for i := range all {
		all[i].weight = weight[i]
	}
	return all
}

// laggedLoads are the lagged flows of blocks, relative to a flow, each worked
// out once.
type laggedLoads struct {
	load   load
	blocks []block
	flow   float64
	cold   bool
	done   map[[2]float64][]float64
}

func (l *laggedLoads) of(power, lag float64) []float64 {
	key := [2]float64{power, lag}
	if l.done == nil {
		l.done = map[[2]float64][]float64{}
	}
	if l.done[key] == nil {
		all := l.load.lagged(power, lag, l.cold)
		l.done[key] = column(l.blocks, func(b block) float64 { return l.load.over(all, b.span) / math.Pow(l.flow, power) })
	}
	return l.done[key]
}
