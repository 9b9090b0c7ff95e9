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

func ExampleFixedPoint() {
	p := sensor.IcePoint(sensor.Settled{Mean: quantity.Celsius(0.4), Uncertainty: quantity.KelvinDifference(0.1)})
	fmt.Println(p)
	fmt.Println(p.In(quantity.Preferred{Temperature: quantity.KindTemperature.Unit("°F")}.Matching()))
	// Output:
	// ice point: reads 0.4 °C, is 0.0 °C: +0.4 K (standard uncertainties 0.1 K and 0.1 K)
	// ice point: reads 32.7 °F, is 32.0 °F: +0.7 °F (standard uncertainties 0.18 °F and 0.18 °F)
}
