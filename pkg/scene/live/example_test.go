package live_test

import (
	"fmt"
	"image/color"

	"github.com/bonnetbook/bonnetbook/pkg/scene/live"
)

// White paper turns dark, and a colour gets light enough to be seen on it.
func ExampleDark() {
	fmt.Println(live.Dark(color.NRGBA{255, 255, 255, 255}))
	fmt.Println(live.Dark(color.NRGBA{0x00, 0x72, 0xB2, 255}))
	// Output:
	// {27 27 27 255}
	// {60 151 218 255}
}
