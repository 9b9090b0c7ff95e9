package weather_test

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/weather"
)

// The air outside has a density of its own, with an interval; taken to a hot
// intake it keeps its vapour.
func ExampleOutside() {
	ambient := &series.Series{Name: "ambient", Dimension: series.Temperature, Time: []float64{0, 60, 120, 180}, Value: []float64{290.15, 290.15, 290.15, 290.15}}
	d := &drive.Drive{
		Name:     "Sunday",
		Channels: map[drive.Role]*drive.Channel{drive.Ambient: {Role: drive.Ambient, Series: ambient, Uncertainty: 0.5}},
		Weather:  drive.Weather{Pressure: 975 * quantity.Hectopascal, PressureUncertainty: quantity.Hectopascal, Humidity: 0.55, HumidityUncertainty: 0.05, HumidityKnown: true},
	}
	air, err := weather.Outside(d)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(air.Density)
	hot, err := air.State.Heated(quantity.Celsius(55))
	fmt.Println(hot, err)
	// Output:
	// outside air density: 1.1658 kg/m³ (95 %: 1.1604 to 1.1712 kg/m³, from the inputs' uncertainties)
	// 975.0 hPa, 55.0 °C, 7 % RH <nil>
}
