package changepoint_test

import (
	"fmt"
	"math/rand/v2"

	"github.com/bonnetbook/bonnetbook/pkg/changepoint"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// A level that steps up once, with small made-up scatter: where, and how
// surely?
func ExampleIntervals() {
	x := []float64{20.1, 19.8, 20.3, 19.9, 20.2, 19.7, 20.0, 20.2, 19.9, 20.1, 23.2, 22.8, 23.1, 22.9, 23.3, 22.7, 23.0, 23.1, 22.9, 23.2}
	fits, err := changepoint.Neighbourhood(x, changepoint.Level, 3, 4)
	if err != nil {
		fmt.Println(err)
		return
	}
	best := changepoint.SelectBIC(fits)
	breaks, err := changepoint.Intervals(x, best, 0.95, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range breaks {
		fmt.Println(b)
	}
	// Output:
	// break 1: 10.0 (95 %: 9.0 to 11.0, from the likelihood)
}

// A probe creeps, then climbs from second 60 on: the onset with its interval.
func ExampleOnset() {
	random := rand.New(rand.NewPCG(1, 2))
	var t, y []float64
	for i := range 100 {
		s := float64(2 * i)
		v := 300 + 0.01*s + 0.3*random.NormFloat64()
		if s > 60 {
			v += 0.03 * (s - 60)
		}
		t, y = append(t, s), append(y, v)
	}
	rules := changepoint.DefaultOnsetRules()
	rules.Direction = 1
	p, err := changepoint.Onset(t, y, rules)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(p.Estimate("onset", quantity.KindDuration.SI(), 0.95))
	// Output:
	// onset: 62.3 s (95 %: 55.4 to 70.7 s, from the likelihood)
}
