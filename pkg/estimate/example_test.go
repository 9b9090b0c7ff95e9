package estimate_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// The same uncalibrated probe before and after: its error of 1.4 K is in both
// rises and not in their difference.
func ExampleDifference() {
	kelvin := quantity.KindTemperatureDifference.SI()
	probe := estimate.Contribution{Source: estimate.Source{Kind: estimate.Probe, ID: "logger A, T2"}, Effect: 1.4}
	scatter := func(drives string) estimate.Contribution {
		return estimate.Contribution{Source: estimate.Source{Kind: estimate.Scatter, ID: drives}, Effect: 0.4, DegreesOfFreedom: 2}
	}
	before, _ := estimate.New("rise before", 21.4, kelvin, 0.95, estimate.BetweenDrives, probe, scatter("before"))
	after, _ := estimate.New("rise after", 6.1, kelvin, 0.95, estimate.BetweenDrives, probe, scatter("after"))
	change, _ := estimate.Difference("change", after, before)
	fmt.Println(before)
	fmt.Println(change)
	for _, s := range before.Shares() {
		fmt.Printf("%v: %.0f %%\n", s.Source, 100*s.Share)
	}
	// Output:
	// rise before: 21.4 K (95 %: 18.5 to 24.3 K, from differences between drives)
	// change: −15.3 K (95 %: −16.9 to −13.7 K, from differences between drives)
	// probe (logger A, T2): 92 %
	// scatter (before): 8 %
}
