package sensor_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
)

// A meter shows 3.268 mV across a type K probe whose terminals are at 20 °C.
// The probe is not where its own table has 3.268 mV: the terminals count.
func ExampleColdJunction() {
	const measured = 3268e-6 * sensor.Volt
	t, err := sensor.ColdJunction(measured, quantity.Celsius(20))
	if err != nil {
		fmt.Println(err)
		return
	}
	wrong, err := sensor.TypeKTemperature(measured)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(t, "and not", wrong)
	// Output:
	// 99.3 °C and not 80.0 °C
}
