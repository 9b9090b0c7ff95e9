package contrast_test

import (
	"fmt"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/contrast"
)

func BenchmarkFit(b *testing.B) {
	for _, n := range []int{3, 8, 100} {
		b.Run(fmt.Sprintf("%d+%d", n, n), func(b *testing.B) {
			var obs []contrast.Observation
			for i := range 2 * n {
				x := float64(i * 7 % 11)
				obs = append(obs, contrast.Observation{After: i%2 == 1, Value: 16 + x/5, Uncertainty: 0.1, Covariates: []float64{x, x * x / 9, float64(i)}})
			}
			m := contrast.Model{Scatter: contrast.Scatter{Scale: 2.5, DegreesOfFreedom: 3}, LogRatio: 0.7,
				Covariates: []contrast.Covariate{{Name: "a", Deviation: 0.1}, {Name: "b", Deviation: 0.1}, {Name: "c", Deviation: 0.1}}}
			for b.Loop() {
				p, err := contrast.Fit(obs, m)
				if err != nil {
					b.Fatal(err)
				}
				p.Interval(0.95)
			}
		})
	}
}
