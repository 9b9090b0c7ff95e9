package compare_test

import (
	"fmt"
	"log"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
)

// Three drives with each configuration gave these mean rises, as
// [compare.Rises] returns them.
func ExampleConfigurations() {
	rules := compare.DefaultRules()
	rules.Strata = []compare.Stratum{{ID: compare.RoadMiddle, Name: "valley road", Kinds: []segment.Kind{segment.Steady}}}
	var rises []compare.DriveRise
	for configuration, kelvins := range map[string][]float64{"open filters": {16.2, 16.5, 16.3}, "cold-air duct": {4.2, 4.0, 4.5}} {
		for _, k := range kelvins {
			rises = append(rises, compare.DriveRise{Configuration: configuration, ID: compare.RoadMiddle,
				Mean: quantity.KelvinDifference(k), Ambient: quantity.Celsius(18), Speed: 72 * quantity.KilometrePerHour})
		}
	}
	differences, err := compare.Configurations(rises, "open filters", "cold-air duct", rules)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(differences[0])
	// Output:
	// valley road: −12.1 K (95 % interval −12.7 to −11.5 K; 3 + 3 drives): cooler
}
