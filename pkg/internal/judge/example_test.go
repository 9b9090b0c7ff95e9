package judge_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
)

// A harness makes campaigns by seed, lets the analysis answer from what the
// instruments read, and scores it against the truth.
func ExampleMake() {
	c, err := judge.Make(judge.Plan{Seed: 7, Before: 2, After: 2, Order: judge.Balanced, ScatterK: 1.2, StepS: 10, Hop: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, d := range c.Drives {
		a, _, track := c.Read(d)
		fmt.Println(d.Name, d.After, d.Truth().Outcome, a.Channels[3].Place, len(a.Stamps) > 20, len(track) > 200)
	}
	// Output:
	// 1 false opened upper tank true true
	// 2 true opened upper tank true true
	// 3 true opened upper tank true true
	// 4 false opened upper tank true true
	// 5 false not reached upper tank true true
}
