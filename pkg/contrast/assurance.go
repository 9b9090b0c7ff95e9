package contrast

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// assurancePoints is how many values of the scatter, and of what n drives will
// show of it, are averaged over.
const assurancePoints = 8

// Assurance returns the probability that n drives of each group, all of them
// together with those that p was fitted on, would show a difference of the
// given size: that the interval of the level, for twice the scale of the
// scatter's prior, leaves out zero. It is averaged over what p knows of the
// scatter, so that it is the share of campaigns like this one (A. O'Hagan, J.
// Stevens, M. Campbell, Pharmaceutical Statistics 4 (2005) 187–201).
// Conditions are taken to be balanced between the groups, as in the order
// A-B-B-A. n is at least 2; NaN for fewer.
func (p *Posterior) Assurance(m Model, n int, size, level float64) float64 {
	if n < 2 {
		return math.NaN()
	}
	m.Scatter.Scale *= 2
	m.Covariates = nil
	widths := halfWidths{n: n, model: m, level: level, known: map[[2]int]float64{}}
	root := shown(n)
	sum := 0.0
	for i := range assurancePoints {
		q := (float64(i) + 0.5) / assurancePoints
		tau := (p.Scatter(false, q) + p.Scatter(true, q)) / 2 // the mean of both groups'
		error := math.Sqrt(2*tau*tau/float64(n) + m.Offset*m.Offset)
		for _, first := range root {
			for _, second := range root {
				sum += distuv.UnitNormal.CDF((math.Abs(size) - widths.of(tau*first, tau*second)) / error)
			}
		}
	}
	return sum / (assurancePoints * assurancePoints * assurancePoints)
}

// halfWidths keeps those that were worked out: they change smoothly with the
// two groups' scatter, so that a coarse grid of it is enough.
type halfWidths struct {
	n     int
	model Model
	level float64
	known map[[2]int]float64 // over the groups' common scatter
}

func (h halfWidths) of(first, second float64) float64 {
	common := math.Sqrt(first * second)
	const size, ratio = 3, 2.5 // steps in an e-fold
	key := [2]int{int(math.Round(size * math.Log(common))), int(math.Round(ratio * math.Abs(math.Log(first/second))))}
	if _, ok := h.known[key]; !ok {
		s, r := math.Exp(float64(key[0])/size), math.Exp(float64(key[1])/ratio/2)
		h.known[key] = halfWidth(h.n, [2]float64{s * r, s / r}, h.model, h.level) / s
	}
	return h.known[key] * common
}

// halfWidth is that of the interval where the groups have these standard
// deviations between n drives; where the means lie does not matter to it.
func halfWidth(n int, deviations [2]float64, m Model, level float64) float64 {
	z := make([]float64, n)
	squares := 0.0
	for i := range z {
		z[i] = distuv.UnitNormal.Quantile((float64(i) + 0.5) / float64(n))
		squares += z[i] * z[i]
	}
	var obs []Observation
	for side, s := range deviations {
		for _, x := range z {
			obs = append(obs, Observation{After: side == 1, Value: s * x / math.Sqrt(squares/float64(n-1)), Uncertainty: 0.05 * s})
		}
	}
	p, err := Fit(obs, m)
	if err != nil {
		return math.Inf(1)
	}
	low, high := p.Interval(level)
	return (high - low) / 2
}

// shown are values, equally likely, of the standard deviation that n drives show
// over the scatter that they come from.
func shown(n int) (root [assurancePoints]float64) {
	chi := distuv.ChiSquared{K: float64(n - 1)}
	for i := range root {
		root[i] = math.Sqrt(chi.Quantile((float64(i)+0.5)/assurancePoints) / chi.K)
	}
	return root
}
