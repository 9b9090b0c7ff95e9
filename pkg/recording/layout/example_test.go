package layout_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// A layout can hold as little as one answer. A wrong one is told with what is
// allowed.
func ExampleLayout_Check() {
	fmt.Println(layout.Layout{DateOrder: layout.DayMonthYear}.Check())
	fmt.Println(layout.Layout{DateOrder: "day first"}.Check())
	fmt.Println(layout.Layout{Columns: []layout.ColumnLayout{{Number: 3, Holds: layout.HoldsSpeed, Unit: "hPa"}}}.Check())
	// Output:
	// <nil>
	// date_order = "day first" is not known; allowed are "ymd", "dmy", "mdy"
	// columns, entry 1: unit = "hPa" does not measure a speed
}
