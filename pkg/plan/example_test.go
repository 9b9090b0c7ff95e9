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

// Four looks that were fixed beforehand: each asks for more than the 1.96 of a
// single one.
func ExampleBounds() {
	z, err := plan.Bounds([]float64{0.25, 0.5, 0.75, 1}, 0.05, plan.SpendEvenly)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.2f\n", z)
	// Output:
	// [2.37 2.37 2.36 2.35]
}
