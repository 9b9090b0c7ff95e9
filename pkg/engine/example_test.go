package engine_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// What does it cost to breathe air of 57 °C on a day of 27 °C? The density
// overstates it.
func ExampleChangeOfPower() {
	outside, err := air.NewState(1008*quantity.Hectopascal, quantity.Celsius(27), 0.5)
	if err != nil {
		fmt.Println(err)
		return
	}
	intake, err := outside.Heated(quantity.Celsius(57))
	if err != nil {
		fmt.Println(err)
		return
	}
	effect, err := engine.ChangeOfPower(outside, intake)
	if err != nil {
		fmt.Println(err)
		return
	}
	iso := effect.Estimates[engine.ISO1585]
	fmt.Printf("%v: %+.1f %%\n", iso.Standard, 100*iso.Change)
	fmt.Printf("density: %+.1f %%\n", 100*effect.DensityChange)
	// Output:
	// ISO 1585: -5.6 %
	// density: -9.1 %
}
