package quantity_test

import (
	"errors"
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

func ExampleParse() {
	si, unit, err := quantity.Parse(quantity.KindPressure, "29.92 in Hg")
	fmt.Printf("%.0f Pa, written in %v, %v\n", si, unit, err)

	_, _, err = quantity.Parse(quantity.KindPressure, "760")
	fmt.Println(err)

	_, _, err = quantity.Parse(quantity.KindPower, "80 bhp")
	fmt.Println(errors.Is(err, quantity.ErrSyntax))
	// Output:
	// 101321 Pa, written in inHg, <nil>
	// "760" is not a quantity (pressure): the unit is missing; write for example "1008 hPa" (units: hPa, Pa, kPa, MPa, mPa, bar, atm, inHg, mmHg, Torr, psi, kgf/cm², mmH₂O, inH₂O); did you mean "760 mmHg"?
	// true
}

func ExampleFormat() {
	coolant := quantity.Celsius(82).Kelvin()
	for _, u := range quantity.KindTemperature.Units() {
		fmt.Println(quantity.Format(coolant, u, 4))
	}
	// Output:
	// 82 °C
	// 179.6 °F
	// 355.1 K
}

func ExampleFindUnits() {
	for _, u := range quantity.FindUnits("deg F") {
		fmt.Println(u.Kind(), u)
	}
	// Output:
	// temperature °F
	// temperature difference °F
}

func ExampleOutOfRange() {
	err := quantity.OutOfRange("engine.AirDemand", "engine speed", 5500, 0, 14000.0/60, quantity.KindRotationalSpeed.Shown(),
		"revolutions per minute are quantity.RevolutionPerMinute")
	fmt.Println(err)
	fmt.Println(errors.Is(err, quantity.ErrOutOfRange))
	// Output:
	// engine.AirDemand: engine speed 330000 rpm: outside the valid range (0 to 14000 rpm); revolutions per minute are quantity.RevolutionPerMinute
	// true
}

func ExampleParseTemperatureDifference() {
	d, err := quantity.ParseTemperatureDifference("54 °F")
	fmt.Println(d, err) // no 32 in a difference
	// Output:
	// 30.0 K <nil>
}
