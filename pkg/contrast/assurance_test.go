package contrast_test

import (
	"math"
	"math/rand/v2"
	"testing"

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

// The expected half-width is the mean of those that campaigns have, drawn from
// the scatter that the first drives left open (with many, nearly one value).
func TestExpectedIsTheMeanHalfWidth(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	draw := func(n int) (all []contrast.Observation) {
		for range n {
			all = append(all, contrast.Observation{Value: 2 * random.NormFloat64(), Uncertainty: 0.1},
				contrast.Observation{After: true, Value: 2*random.NormFloat64() - 4, Uncertainty: 0.1})
		}
		return all
	}
	m := contrast.Model{Scatter: contrast.Scatter{Scale: 2, DegreesOfFreedom: 3}, LogRatio: 0.7}
	p, err := contrast.Fit(draw(200), m)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []int{3, 8} {
		const campaigns = 200
		sum := 0.0
		for range campaigns {
			q, err := contrast.Fit(draw(n), m)
			if err != nil {
				t.Fatal(err)
			}
			low, high := q.Interval(0.95)
			sum += (high - low) / 2
		}
		mean := sum / campaigns
		near(t, "half-width", p.Expected(m, n, 0.95)/mean, 1, 0.08)
	}
	if !math.IsNaN(p.Expected(m, 1, 0.95)) {
		t.Error("one drive has a width")
	}
}
