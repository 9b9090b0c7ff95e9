package ask_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/ask"
)

// The demo's campaign is there, and nothing is left to ask.
func Example() {
	f, err := ask.Draft("../../testdata/demo")
	if err != nil {
		panic(err)
	}
	fmt.Println(f)
	// Output: Nothing is left to ask.
}
