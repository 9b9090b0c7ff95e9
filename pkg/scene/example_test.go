package scene_test

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/scene"
)

// One description, two forms that say the same.
func ExampleFigure() {
	f := &scene.Figure{Title: "Warming up", XLabel: "time (min)", Panels: []scene.Panel{{
		YLabel:  "temperature (°C)",
		Lines:   []scene.Line{{Label: "coolant", X: []float64{0, 5, 10}, Y: []float64{20, 60, 85}}},
		Markers: []scene.Marker{{X: 9, Label: "thermostat opens"}},
	}}}
	svg, err := f.SVG()
	if err != nil {
		fmt.Println(err)
		return
	}
	page, err := f.Interactive()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(f)
	fmt.Println(strings.Contains(string(svg), "thermostat opens"), len(page) <= 80_000)
	// Output:
	// [chart] Warming up: coolant
	// true true
}
