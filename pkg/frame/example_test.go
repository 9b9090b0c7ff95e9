package frame_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/frame"
)

// run is what somebody wrote down of some drives.
type run struct {
	Drive         string
	Configuration string
	Bay           float64 `frame:"bay (°C)"`
	Intake        float64 `frame:"intake (°C)"`
	Minutes       float64 `frame:"duration (min)"`
}

var runs = []run{
	{"Monday", "open", 52, 38, 31},
	{"Tuesday", "duct", 55, 24, 28},
	{"Friday", "open", 47, 36.5, 30},
	{"Saturday", "duct", 61, 25, 29},
}

// A question in one line: the values have their units, and the answer may have
// another one.
func Example() {
	f := frame.FromStructs(runs)
	fmt.Println(f.Filter(frame.Above("bay", "120 °F")).Group("configuration").Summarise(
		frame.Mean("intake"), frame.Mean("intake").In("°F").As("the same"), frame.Sum("duration").In("h")))
	// Output:
	// configuration  mean intake (°C)  the same (°F)  sum of duration (h)
	// open                      38.00          100.4               0.5167
	// duct                      24.50           76.1               0.9500
}

// A mistake is held by the frame and told by whatever leaves it.
func ExampleFrame_Err() {
	f := frame.FromStructs(runs).Filter(frame.Above("bay", "50"))
	fmt.Println(f.Sort("bay").Err())
	// Output:
	// frame, Filter: column "bay": "50" is not a quantity (temperature): the unit is missing; write for example "82 degC" (units: °C, °F, K); did you mean "50 °C" or "50 °F"?
}

// The difference of two temperatures is no temperature: 14 K are 25.2 °F.
func ExampleFrame_Minus() {
	f := frame.FromStructs(runs).Minus("above the intake", "bay", "intake")
	fmt.Println(f.Select("drive", "above the intake").In("above the intake", "°F").Head(1))
	// Output:
	// drive   above the intake (°F)
	// Monday                  25.20
}

// Who is odd among fellows: how far each lies from the median of its group.
func ExampleGrouped_Relative() {
	f := frame.FromStructs(runs).Group("configuration").Relative("from the median", frame.Median("intake"))
	fmt.Println(f.Select("drive", "configuration", "from the median"))
	// Output:
	// drive     configuration  from the median (K)
	// Monday    open                        0.7500
	// Tuesday   duct                       -0.5000
	// Friday    open                       -0.7500
	// Saturday  duct                        0.5000
}
