package simulate_test

import (
	"fmt"
	"math/rand/v2"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// The same drive with two intakes: the truth that the methods have to find.
func ExampleRun() {
	trace := simulate.Drive(simulate.ValleyRoad(), 1, rand.New(rand.NewPCG(1, 7)))
	day := simulate.Conditions{Ambient: 295}
	for _, intake := range []simulate.Intake{simulate.OpenFilters(), simulate.ColdAirDuct()} {
		h := simulate.Run(simulate.DemoCar(), intake, trace, day)
		rise := h.MeanRise(float64(50*quantity.KilometrePerHour), float64(85*quantity.KilometrePerHour))
		fmt.Printf("%s: the thermostat opens after %.0f s; then, from 50 to 85 km/h, %.0f K above ambient\n", intake.Name, h.Opening, rise)
	}
	// Output:
	// open filters: the thermostat opens after 586 s; then, from 50 to 85 km/h, 16 K above ambient
	// cold-air duct: the thermostat opens after 586 s; then, from 50 to 85 km/h, 5 K above ambient
}
