package compare_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// All six kinds of driving of 3 + 3 and of 8 + 8 drives.
func BenchmarkConfigurations(b *testing.B) {
	for _, n := range []int{3, 8} {
		b.Run(fmt.Sprintf("%d+%d", n, n), func(b *testing.B) {
			rules := compare.DefaultRules()
			rules.Primary = compare.RoadMiddle
			var all []compare.DriveRise
			for i := range 2 * n {
				for k, s := range rules.Strata {
					all = append(all, compare.DriveRise{Drive: fmt.Sprint(i), Configuration: []string{"open", "duct"}[i%2], ID: s.ID,
						Mean: quantity.KelvinDifference(20 - float64(6*(i%2)) + float64(i*(k+3)%5)), Ambient: quantity.Celsius(15 + float64(i*3%7)), Speed: 20, SinceOpening: 900 + float64(i),
						Start: time.Date(2026, 5, 2+i, 9, 0, 0, 0, time.UTC)})
				}
			}
			for b.Loop() {
				if _, err := compare.Configurations(all, "open", "duct", rules); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
