package clock_test

import (
	"fmt"
	"testing"
	"time"

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

// Twice as many drives cost twice as much.
func BenchmarkFromSeveral(b *testing.B) {
	for _, n := range []int{10, 20, 40} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			var profiles []clock.Profile
			for k := range n {
				profiles = append(profiles, hill(day.Add(time.Duration(k)*36*time.Hour), 40+2*float64(k), 7))
			}
			for b.Loop() {
				if _, err := clock.FromSeveral(profiles, clock.DefaultOptions()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
