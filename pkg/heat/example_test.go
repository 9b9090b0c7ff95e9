package heat_test

import (
	"fmt"
	"math"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/heat"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// A made-up drive of forty minutes: block and bay warm the intake by 4 K, and
// after the opening at ten minutes the radiator adds 12 K.
func ExampleAnalyse() {
	channels := map[drive.Role]*drive.Channel{}
	record := func(role drive.Role, kind series.Dimension, f func(t float64) float64) {
		var t, v []float64
		for s := 0.0; s < 2400; s += 2 {
			t, v = append(t, s), append(v, f(s))
		}
		x, err := series.New(string(role), kind, time.Time{}, t, v)
		if err != nil {
			panic(err)
		}
		// Probes that were compared side by side, to a tenth of a kelvin.
		channels[role] = &drive.Channel{Role: role, Series: x, Uncertainty: 0.1}
	}
	after := func(t, tau float64) float64 { return -math.Expm1(-math.Max(0, t-600) / tau) }
	record(drive.Ambient, series.Temperature, func(t float64) float64 { return 290 + 0.05*math.Sin(t*t) })
	record(drive.TopTank, series.Temperature, func(t float64) float64 { return 295 + t/60 + 45*after(t, 20) + 0.05*math.Sin(3*t*t) })
	record(drive.Intake, series.Temperature, func(t float64) float64 {
		return 290 - 4*math.Expm1(-t/200) + 12*after(t, 60) + 0.2*math.Sin(5*t*t)
	})
	record(drive.Speed, series.Speed, func(t float64) float64 { return 18 + 2*math.Sin(t/70) })
	d := &drive.Drive{Name: "made up", Channels: channels}

	opening, err := thermostat.Find(d)
	if err != nil {
		fmt.Println(err)
		return
	}
	pieces, err := segment.SplitAfter(d, opening, segment.DefaultRules())
	if err != nil {
		fmt.Println(err)
		return
	}
	balance, err := heat.Analyse(d, opening, pieces)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(balance.RiseBefore)
	fmt.Println(balance.FromRadiator)
	fmt.Println(balance.Wishes()[0])
	// Output:
	// rise at the opening: 3.8 K (95 %: 2.4 to 5.3 K, from scatter within the drive, 10)
	// rise that the radiator adds: 11.6 K (95 %: 9.2 to 14.0 K, from scatter within the drive, 76)
	// mixing fraction of radiator air: a probe in the air behind the radiator, on a drive with villages and hills (now: no channel for the air behind the radiator (radiator-air))
}

// The radiator of a car, both streams unmixed: Çengel's example of NTU 1 and
// a ratio of capacity rates of one half.
func ExampleEffectivenessFromNTU() {
	e, err := heat.EffectivenessFromNTU(heat.CrossFlowUnmixed, 1, 0.5)
	fmt.Printf("%.3f %v\n", e, err)
	_, err = heat.EffectivenessFromNTU(heat.CrossFlowUnmixed, 1, 2)
	fmt.Println(err)
	// Output:
	// 0.547 <nil>
	// heat.EffectivenessFromNTU: capacity ratio 2: outside the valid range (0 to 1); the smaller over the larger
}
