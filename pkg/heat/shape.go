package heat

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// The rise over ambient at one instant, with everything relative to driving at
// a speed v₀ on the level:
//
//	rise = block·g(v) + source·L·g(v) + way·x^−q + fixed
//	g(v) = (1 + v₀/d)/(1 + v/d)
//
// x is the engine's air flow. block is what a coolant of constant temperature
// gives to the bay, diluted by the air that the speed presses through it.
// source goes with the heat that fuel sets free, which reaches coolant,
// radiator, exhaust and bay after a while: L is x^m after a first-order lag.
// way is what the air takes up on its way in: less, the more air there is.
//
// A drive tells the four parts apart as far as its loads and speeds differ.
// What it leaves open is held by priors, and an answer is averaged over all
// shapes (d, m, q and the lag) by how well they fit.
//
// Sources: heat to the coolant goes with fuel to a power of 0.75 to 1 (Taylor
// and Toong, from memory); pick-up falls with the flow by an exponent of 0.2
// (turbulent, Dittus–Boelter) to 1 (heat that does not depend on the flow).
// The priors of the parts are judgement, wide enough for both simulators.
type shape struct{ dilution, power, exponent, lag float64 }

// shapes are those that are averaged, equal in weight beforehand.
func shapes() (all []shape) {
	for _, d := range []float64{4, 9, 20} {
		for _, m := range []float64{0.75, 0.95} {
			for _, q := range []float64{0.2, 0.6, 1} {
				for _, tau := range []float64{40, 110, 300} {
					all = append(all, shape{d, m, q, tau})
				}
			}
		}
	}
	return all
}

const parts = 4 // block, source, way, fixed

// Priors of the parts as shares of the rise: means and standard deviations.
var (
	partMean      = [parts]float64{0.22, 0.55, 0.15, 0.08}
	partDeviation = [parts]float64{0.2, 0.25, 0.12, 0.15}
)

// state is what the rise depends on at one instant: speed in m/s, flow and
// lagged flow, relative to those at the reference speed on the level.
type state struct{ speed, flow, heat float64 }

// terms are what the parts are multiplied by.
func (s shape) terms(x state, reference float64) [parts]float64 {
	g := (1 + reference/s.dilution) / (1 + x.speed/s.dilution)
	return [parts]float64{g, x.heat * g, math.Pow(x.flow, -s.exponent), 1}
}

// fittedShape is one shape with the posterior of its parts in K.
type fittedShape struct {
	shape
	log        float64 // of its marginal likelihood
	weight     float64
	part       [parts]float64
	covariance [parts][parts]float64
}

// fit finds the posterior of the parts from rises and terms: normal, each
// reading with the variance noise. scale is the rise that the priors are
// shares of.
func (s shape) fit(rise []float64, terms [][parts]float64, scale, noise float64) (fittedShape, bool) {
	f := fittedShape{shape: s}
	precision := mat.NewSymDense(parts, nil)
	right := mat.NewVecDense(parts, nil)
	logPrior := 0.0
	for i := range parts {
		u := partDeviation[i] * scale
		precision.SetSym(i, i, 1/(u*u))
		right.SetVec(i, partMean[i]*scale/(u*u))
		logPrior += math.Log(u)
	}
	for k, x := range terms {
		for i := range parts {
			right.SetVec(i, right.AtVec(i)+x[i]*rise[k]/noise)
			for j := i; j < parts; j++ {
				precision.SetSym(i, j, precision.At(i, j)+x[i]*x[j]/noise)
			}
		}
	}
	var c mat.Cholesky
	if !c.Factorize(precision) {
		return f, false
	}
	var covariance mat.SymDense
	var part mat.VecDense
	if c.InverseTo(&covariance) != nil || c.SolveVecTo(&part, right) != nil {
		return f, false
	}
	f.log = -logPrior - c.LogDet()/2
	for i := range parts {
		f.part[i] = part.AtVec(i)
		z := (f.part[i] - partMean[i]*scale) / (partDeviation[i] * scale)
		f.log -= z * z / 2
		for j := range parts {
			f.covariance[i][j] = covariance.At(i, j)
		}
	}
	for k, x := range terms {
		e := rise[k] - f.at(x)
		f.log -= e * e / noise / 2
	}
	return f, true
}

func (f fittedShape) at(x [parts]float64) (value float64) {
	for i := range parts {
		value += f.part[i] * x[i]
	}
	return value
}

// variance is that of the value at x by what the parts leave open.
func (f fittedShape) variance(x [parts]float64) (v float64) {
	for i := range parts {
		for j := range parts {
			v += x[i] * x[j] * f.covariance[i][j]
		}
	}
	return v
}
