package notebook_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/notebook"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// A slice of structs becomes a table: a row each, a column for each field. A
// front end without tables gets its text.
func ExampleTable() {
	type probe struct {
		Name string
		Mean quantity.Temperature
	}
	probes := []probe{{"ambient", quantity.Celsius(22.4)}, {"intake", quantity.Celsius(51.9)}}
	fmt.Println(notebook.Table(probes, "channel").Display().Text())
	// Output:
	// channel     Mean
	// ambient  22.4 °C
	// intake   51.9 °C
}
