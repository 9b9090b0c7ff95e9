package fuel_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/fuel"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// A float bowl of 58 °C after a stop, with what was sold in winter.
func ExampleAssessHot() {
	hot, err := fuel.AssessHot(quantity.Celsius(58), 960*quantity.Hectopascal, fuel.Winter())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(hot.Risk)
	fmt.Println(hot)
	// Output:
	// the fuel may begin to boil
	// the fuel may begin to boil at 58.0 °C: petrol of this volatility begins to boil at 37.6 °C to 51.6 °C
}
