package warm_test

import (
	"fmt"
	"math"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
	"github.com/bonnetbook/bonnetbook/pkg/warm"
)

// An engine cooled by air counts as warm when its oil has passed 70 °C.
func Example() {
	var times, oil []float64
	for t := 0.0; t < 1200; t += 5 {
		times, oil = append(times, t), append(oil, quantity.Celsius(20+t/10).Kelvin())
	}
	s, err := series.New("oil", series.Temperature, time.Time{}, times, oil)
	if err != nil {
		panic(err)
	}
	d := &drive.Drive{Name: "twin, first run", Channels: map[drive.Role]*drive.Channel{drive.Oil: {Role: drive.Oil, Series: s}},
		Warming: drive.Warming{AirCooled: true, Rule: drive.WarmRule{Role: drive.Oil, Above: quantity.Celsius(70), Uncertainty: 30}}}
	fmt.Println(warm.Of(d, thermostat.Result{Onset: math.NaN()}))
	// Output: drive "twin, first run": became warm at 500 s (95 %: 441 to 559 s), by the rule stated in the campaign: oil above 70.0 °C
}
