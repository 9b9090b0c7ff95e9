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
