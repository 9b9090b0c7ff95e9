//go:build proof

package heat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/road"
)

// An otherDay drives the second model's car on a day that is not still, as
// package car's bench does on a still one: what is predicted is the mean of a
// further drive, and days differ.
type otherDay struct {
	car    *car.Car
	intake car.Intake
	day    car.Day
}

const (
	leadTime = 900.0 // s, the cruise
	loadTime = 310.0 // s, the load
)

// run cruises on the level, then climbs; full floors the pedal there.
func (o otherDay) run(speed, grade float64, full bool) (t *car.Trace, at int) {
	route := road.Level(speed*leadTime+70*loadTime+5000, speed, 0)
	height := route.HeightM[int(speed*leadTime/road.CellM)]
	for i := int(speed * leadTime / road.CellM); i < len(route.GradeMPM); i++ {
		route.GradeMPM[i], route.HeightM[i] = grade, height
		height += grade * road.CellM
	}
	r := car.Run{Car: o.car, Intake: o.intake, Route: route, Driver: road.Steady(), Day: o.day,
		CoolantC: math.Max(o.car.StartC(), 60), MaxS: leadTime + loadTime + 30, Seed: 1, Path: 1}
	if full {
		r.FullFromS = leadTime + 12
	}
	t = r.Do()
	for at < t.Len()-1 && t.DistanceM[at] < speed*leadTime {
		at++
	}
	if full {
		at = max(at, int(r.FullFromS))
	}
	return t, at
}

func (o otherDay) pull(grade float64) car.Pull {
	t, at := o.run(85/3.6, grade, true)
	p := car.Pull{GradeMPM: grade}
	for i, w := range [3][2]int{{5, 10}, {50, 60}, {270, 300}} {
		last := min(at+w[1], t.Len()-1)
		p.RiseK[i], p.SpeedMPS[i], p.PowerW[i] = meanRise(t, at+w[0], at+w[1]), t.SpeedMPS[last], t.PowerW[last]
	}
	return p
}

func (o otherDay) climb(speed, grade float64) car.Climb {
	t, at := o.run(speed, grade, false)
	return car.Climb{GradeMPM: grade, RiseK: meanRise(t, at+270, at+300), SpeedMPS: t.SpeedMPS[min(at+300, t.Len()-1)]}
}

// meanRise is NaN where the car did not come that far.
func meanRise(t *car.Trace, from, to int) float64 {
	sum, n := 0.0, 0.0
	for i := max(from, 0); i < min(to, t.Len()); i++ {
		sum, n = sum+t.RiseK(i), n+1
	}
	return sum / n
}
