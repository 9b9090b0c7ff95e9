package plan_test

import (
	"fmt"
	"log"

	"github.com/bonnetbook/bonnetbook/pkg/plan"
)

// Drives of one configuration differ by 2 K. How many with each show a change
// of 3 K in four campaigns of five?
func ExampleDrivesNeeded() {
	n, err := plan.DrivesNeeded(3, 2, 0.95, 0.8)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(n, "drives with each configuration")
	// Output:
	// 9 drives with each configuration
}

// Four looks that were fixed beforehand: the bounds of [plan.SpendLate] leave the
// last look nearly as good as a single one, where [plan.SpendEvenly] pays for an
// early end.
func ExampleBounds() {
	looks := []float64{0.25, 0.5, 0.75, 1}
	for _, spending := range []plan.Spending{plan.SpendEvenly, plan.SpendLate} {
		z, err := plan.Bounds(looks, 0.05, spending)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("%.2f\n", z)
	}
	// Output:
	// [2.37 2.37 2.36 2.35]
	// [4.33 2.96 2.36 2.01]
}
