package uncertainty_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/uncertainty"
)

// The rise of the intake over ambient, from two probes: where does its
// uncertainty come from?
func ExampleNewBudget() {
	inputs := []uncertainty.Input{
		{Name: "intake", Unit: "°C", Value: uncertainty.Value{X: 57, U: 0.5}},
		{Name: "ambient", Unit: "°C", Value: uncertainty.Value{X: 27, U: 0.2}},
		{Name: "drift since the check", Unit: "K", Value: uncertainty.Rectangular(0, 0.3)},
	}
	rise := func(x []float64) float64 { return x[0] - x[1] + x[2] }
	b, err := uncertainty.NewBudget(rise, inputs, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(b.Result)
	for _, l := range b.Lines {
		fmt.Printf("%s: %.0f %%\n", l.Input.Name, 100*l.Share)
	}
	// Output:
	// 30.00 ± 0.57
	// intake: 78 %
	// ambient: 12 %
	// drift since the check: 9 %
}
