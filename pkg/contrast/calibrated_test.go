package contrast_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/contrast"
)

// Over cars whose scatter, ratio of scatters and conditions are drawn from the priors
// an interval of 95 % holds the truth in 95 of 100, whatever the design (D. B. Rubin,
// Ann. Statist. 12 (1984) 1151–1172): with two drives a side it holds more often in
// cars that scatter little and less often in those that scatter much, since two drives
// do not show which it is, and the two make up for one another.
func TestIntervalsHoldOverThePrior(t *testing.T) {
	m := contrast.Model{Scatter: contrast.Scatter{Scale: 1.4, LogDeviation: 1.5}, LogRatio: 0.7, Offset: 0.5,
		Covariates: []contrast.Covariate{{Name: "weather", Mean: -0.1, Deviation: 0.2}}}
	const campaigns, own = 400, 0.1
	for _, design := range [][2]int{{2, 2}, {1, 3}, {3, 3}, {2, 6}} {
		random := rand.New(rand.NewPCG(uint64(design[0]), uint64(design[1])))
		held, calm, ofCalm := 0, 0, 0
		for range campaigns {
			tau := m.Scatter.Scale * math.Exp(m.Scatter.LogDeviation*random.NormFloat64())
			ratio := math.Exp(m.LogRatio * random.NormFloat64())
			slope, offset := m.Covariates[0].Mean+m.Covariates[0].Deviation*random.NormFloat64(), m.Offset*random.NormFloat64()
			const change = -4
			var obs []contrast.Observation
			for side, n := range design {
				for range n {
					warmer := 3 * random.NormFloat64()
					o := contrast.Observation{After: side == 1, Uncertainty: own, Covariates: []float64{warmer}}
					scatter := tau * math.Pow(ratio, float64(side)-0.5)
					o.Value = 20 + slope*warmer + math.Hypot(scatter, own)*random.NormFloat64() + float64(side)*(change+offset)
					obs = append(obs, o)
				}
			}
			p, err := contrast.Fit(obs, m)
			if err != nil {
				t.Fatal(err)
			}
			low, high := p.Interval(0.95)
			if low <= change && change <= high {
				held++
			}
			if tau < m.Scatter.Scale/2 {
				ofCalm++
				if low <= change && change <= high {
					calm++
				}
			}
		}
		t.Logf("%d+%d: %.1f %% of all, %.1f %% of %d cars that scatter little", design[0], design[1], 100*float64(held)/campaigns, 100*float64(calm)/float64(ofCalm), ofCalm)
		if e := 2.5 * math.Sqrt(0.95*0.05/campaigns); math.Abs(float64(held)/campaigns-0.95) > e {
			t.Errorf("%d+%d: intervals hold in %d of %d", design[0], design[1], held, campaigns)
		}
	}
}
