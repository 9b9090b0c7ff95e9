package duct_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/duct"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// A metre of hose through a hot bay: the faster the air, the less it is heated
// and the more pressure it loses.
func ExampleDuct_PickUp() {
	outside, err := air.NewState(1008*quantity.Hectopascal, quantity.Celsius(27), 0.5)
	if err != nil {
		fmt.Println(err)
		return
	}
	hose := duct.Duct{Parts: []duct.Part{duct.CorrugatedHose(76*quantity.Millimetre, 1*quantity.Metre)}}
	bay := duct.Surroundings{Temperature: quantity.Celsius(70)}
	for _, flow := range []quantity.VolumeFlow{5 * quantity.LitrePerSecond, 55 * quantity.LitrePerSecond} {
		heat, err := hose.PickUp(outside, flow, bay)
		if err != nil {
			fmt.Println(err)
			return
		}
		loss, err := hose.Flow(outside, flow)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%2.0f L/s: warmer by %.1f K, %.0f Pa lost\n", flow.LitresPerSecond(), heat.Rise.Value, loss.Loss.Value)
	}
	// Output:
	// 5 L/s: warmer by 7.0 K, 1 Pa lost
	// 55 L/s: warmer by 1.8 K, 90 Pa lost
}
