package contrast_test

import (
	"fmt"
	"log"

	"github.com/bonnetbook/bonnetbook/pkg/contrast"
)

// Two drives with open filters, two with a duct: the four agree well, but two
// drives a side do not know how far drives scatter, so the prior has a say.
func ExampleFit() {
	drives := []contrast.Observation{
		{Name: "open 1", Value: 30.0, Uncertainty: 0.1}, {Name: "open 2", Value: 30.1, Uncertainty: 0.1},
		{Name: "duct 1", Value: 24.0, Uncertainty: 0.1, After: true}, {Name: "duct 2", Value: 24.1, Uncertainty: 0.1, After: true},
	}
	p, err := contrast.Fit(drives, contrast.Model{Scatter: contrast.Scatter{Scale: 2.5, DegreesOfFreedom: 3}, LogRatio: 0.7})
	if err != nil {
		log.Fatal(err)
	}
	low, high := p.Interval(0.95)
	fmt.Printf("%.1f K, 95 %%: %.1f to %.1f K\n", p.Quantile(0.5), low, high)
	// Output:
	// -6.0 K, 95 %: -6.9 to -5.1 K
}
