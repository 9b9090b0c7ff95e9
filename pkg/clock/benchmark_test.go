package clock_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
)

// One pair of each kind that simulatedPair makes.
func BenchmarkEstimate(b *testing.B) {
	var pairs []pair
	for k := range 5 {
		pairs = append(pairs, simulatedPair(7, k))
	}
	for b.Loop() {
		for _, p := range pairs {
			_, _ = clock.Estimate(p.first, p.second, clock.DefaultOptions())
		}
	}
}
