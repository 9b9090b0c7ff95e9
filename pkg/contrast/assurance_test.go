package contrast_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/bonnetbook/bonnetbook/pkg/contrast"
)

// The assurance is the share of campaigns that show the difference: drives
// drawn from the scatter that the first ones left open (with many first drives,
// nearly one value) are fitted and counted.
func TestAssuranceIsTheShareThatShowsIt(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	draw := func(n int, tau, shift float64) (all []contrast.Observation) {
		for range n {
			all = append(all, contrast.Observation{Value: tau * random.NormFloat64(), Uncertainty: 0.1},
				contrast.Observation{After: true, Value: shift + tau*random.NormFloat64(), Uncertainty: 0.1})
		}
		return all
	}
	m := contrast.Model{Scatter: contrast.Scatter{Scale: 2, DegreesOfFreedom: 3}, LogRatio: 0.7}
	p, err := contrast.Fit(draw(200, 2, 0), m)
	if err != nil {
		t.Fatal(err)
	}
	wide := m
	wide.Scatter.Scale *= 2
	shown, campaigns := 0, 400
	for range campaigns {
		q, err := contrast.Fit(draw(4, 2, -4), wide)
		if err != nil {
			t.Fatal(err)
		}
		if _, high := q.Interval(0.95); high < 0 {
			shown++
		}
	}
	near(t, "assurance with 4 a side", p.Assurance(m, 4, 4, 0.95), float64(shown)/float64(campaigns), 0.07) // 2.5 standard errors of 400 are 0.06
	if a, b := p.Assurance(m, 4, 4, 0.95), p.Assurance(m, 8, 4, 0.95); !(b > a) {
		t.Errorf("more drives show less: %.2f, %.2f", a, b)
	}
}

// The half-width to be expected is the mean of those that campaigns have which go on
// from the same drives: with many first drives nothing is left to be averaged, with
// few it is the mean over the scatters that they leave open, drawn here from the
// conjugate posterior (inverse χ², A. Gelman and others, Bayesian Data Analysis, 3rd
// ed. 2013, 3.2) of a scatter that both groups share.
func TestExpectedIsTheMeanHalfWidth(t *testing.T) {
	m := contrast.Model{Scatter: contrast.Scatter{Scale: 2, LogDeviation: 8}} // flat in ln τ
	for _, n := range []int{6, 60} {
		random := rand.New(rand.NewPCG(3, uint64(n)))
		var obs []contrast.Observation
		var mean [2]float64
		for i := range 2 * n {
			o := contrast.Observation{After: i%2 == 1, Value: 2 * random.NormFloat64()}
			obs, mean[i%2] = append(obs, o), mean[i%2]+o.Value/float64(n)
		}
		squares := 0.0
		for i, o := range obs {
			squares += (o.Value - mean[i%2]) * (o.Value - mean[i%2])
		}
		p, err := contrast.Fit(obs, m)
		if err != nil {
			t.Fatal(err)
		}
		free := float64(2*n - 2)
		const campaigns, more = 2000, 3
		seen := 0.0
		for range campaigns {
			tau := math.Sqrt(squares / distuv.ChiSquared{K: free, Src: random}.Rand())
			after, df := squares, free+2*more // residual squares and degrees of freedom with all drives
			for side := range 2 {
				middle, next := mean[side]+tau/math.Sqrt(float64(n))*random.NormFloat64(), make([]float64, more)
				for i := range next {
					next[i] = middle + tau*random.NormFloat64()
				}
				m, v := stat.MeanVariance(next, nil)
				after += v*(more-1) + (m-mean[side])*(m-mean[side])*float64(n*more)/float64(n+more)
			}
			seen += distuv.StudentsT{Sigma: 1, Nu: df}.Quantile(0.975) * math.Sqrt(after/df*2/float64(n+more)) / campaigns
		}
		var next []contrast.Observation
		for i := range 2 * more {
			next = append(next, contrast.Observation{After: i%2 == 1})
		}
		near(t, fmt.Sprintf("half-width after %d a side", n), p.Expected(m, obs, next, 0.95)/seen, 1, 0.03)
		low, high := p.Interval(0.95)
		near(t, "half-width without a next drive", p.Expected(m, obs, nil, 0.95), (high-low)/2, 1e-12)
	}
	if p, err := contrast.Fit([]contrast.Observation{{}, {After: true}}, m); err != nil || !math.IsNaN(p.Expected(m, nil, []contrast.Observation{{Covariates: []float64{1}}}, 0.95)) {
		t.Error("a drive with a condition that the model has not has a width", err)
	}
}
