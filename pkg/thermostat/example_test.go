package thermostat_test

import (
	"fmt"
	"math"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// A made-up top tank that creeps from 18 °C and fills with hot coolant after
// ten minutes.
func ExampleFind() {
	var t, tank []float64
	for s := 0.0; s < 1500; s += 2 {
		v := 291.15 + s/60 + 0.05*math.Sin(s*s)
		if s > 600 {
			v += min(50, 0.9*(s-600))
		}
		t, tank = append(t, s), append(tank, v)
	}
	s, err := series.New("top tank", series.Temperature, time.Time{}, t, tank)
	if err != nil {
		fmt.Println(err)
		return
	}
	d := &drive.Drive{Name: "made up", Channels: map[drive.Role]*drive.Channel{drive.TopTank: {Role: drive.TopTank, Series: s}}}
	r, err := thermostat.Find(d)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Outcome)
	fmt.Println(r.Opening())
	fmt.Println("within 5 s:", math.Abs(r.Onset-600) < 5)
	// Output:
	// opened
	// opening of the thermostat: 598.6 s (95 %: 594.1 to 600.3 s, from the likelihood)
	// within 5 s: true
}
