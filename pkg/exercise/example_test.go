package exercise_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/exercise"
)

// The same mistake again gets the next hint.
func ExampleExercise_Check() {
	fmt.Println(exercise.InFahrenheit().Check(68))
	fmt.Println(exercise.InFahrenheit().Check(68).Level)
	fmt.Println(exercise.InFahrenheit().Check(36))
	// Output:
	// ✗ Not yet. That converts a temperature. This is a difference of two. (Hint 1 of 2; run the check again for the next.)
	// 2
	// ✓ Right. A difference is stretched by the scale and not moved: no zero point takes part.
}
