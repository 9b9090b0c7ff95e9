package car

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/road"
)

// Grades are the climbs for which the bench gives the truth, m/m.
var Grades = [7]float64{0, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06}

// Pull is the truth about full throttle on one grade, from a settled cruise at
// 85 km/h (or what the car can) on the level: 300 s later the hill begins and
// the pedal is floored, the speed is the car's own.
type Pull struct {
	GradeMPM float64
	// RiseK is the intake's rise over free air after 10, 60 and 300 s: the mean
	// of seconds 5–10, 50–60 and 270–300.
	RiseK [3]float64
	// CruiseK is the rise in the last minute of the cruise before it.
	CruiseK float64
	// SpeedMPS, CoolantC are those at the same three moments; PowerW too.
	SpeedMPS, CoolantC, PowerW [3]float64
	Boiled                     bool
}

// Climb is the truth about a climb at a held speed with as much throttle as it
// takes, after 300 s of it.
type Climb struct {
	GradeMPM, RiseK, SpeedMPS, CoolantC float64
	Boiled                              bool
}

// bench runs a car that is already warm: level cruise for leadS, then a grade.
func bench(c *Car, in Intake, ambientC, limitMPS, gradeMPM, leadS, forS float64, full bool) (*Trace, int) {
	route := road.Level(limitMPS*leadS+70*forS+5000, limitMPS, 0)
	from := int(limitMPS * leadS / road.CellM)
	height := route.HeightM[from]
	for i := from; i < len(route.GradeMPM); i++ {
		route.GradeMPM[i], route.HeightM[i] = gradeMPM, height
		height += gradeMPM * road.CellM
	}
	r := Run{Car: c, Intake: in, Route: route, Driver: road.Steady(), Day: StillDay(ambientC),
		CoolantC: max(c.StartC(), 60), MaxS: leadS + forS + 30, Seed: 1, Path: 1}
	if full {
		// On the flat part the height does not matter: the hill is reached then.
		r.FullFromS = leadS + 12
	}
	t := r.Do()
	at := t.Len() - int(forS)
	for i, s := range t.DistanceM {
		if s >= limitMPS*leadS {
			at = i
			break
		}
	}
	if full {
		at = max(at, int(r.FullFromS))
	}
	return t, at
}

const settleS = 900 // a quarter of an hour: bonnet and block within a tenth of their way

// FullThrottle is the truth about a pull on a grade at an ambient temperature.
func FullThrottle(c *Car, in Intake, ambientC, gradeMPM float64) Pull {
	t, at := bench(c, in, ambientC, 85/3.6, gradeMPM, settleS, 310, true)
	p := Pull{GradeMPM: gradeMPM, Boiled: t.BoiledJ > 0, CruiseK: meanRise(t, at-60, at-5)}
	for i, w := range [3][2]int{{5, 10}, {50, 60}, {270, 300}} {
		p.RiseK[i] = meanRise(t, at+w[0], at+w[1])
		last := min(at+w[1], t.Len()-1)
		p.SpeedMPS[i], p.CoolantC[i], p.PowerW[i] = t.SpeedMPS[last], t.CoolantC[last], t.PowerW[last]
	}
	return p
}

// HeldClimb is the truth about a climb at a held speed.
func HeldClimb(c *Car, in Intake, ambientC, speedMPS, gradeMPM float64) Climb {
	t, at := bench(c, in, ambientC, speedMPS, gradeMPM, settleS, 310, false)
	last := min(at+300, t.Len()-1)
	return Climb{gradeMPM, meanRise(t, at+270, at+300), t.SpeedMPS[last], t.CoolantC[last], t.BoiledJ > 0}
}

// CruiseRise is the settled rise at a steady speed on the level, K.
func CruiseRise(c *Car, in Intake, ambientC, speedMPS float64) float64 {
	t, at := bench(c, in, ambientC, speedMPS, 0, settleS, 60, false)
	return meanRise(t, at-60, at)
}

func meanRise(t *Trace, from, to int) float64 {
	from, to = max(from, 0), min(to, t.Len())
	if to <= from {
		return math.NaN()
	}
	sum := 0.0
	for i := from; i < to; i++ {
		sum += t.RiseK(i)
	}
	return sum / float64(to-from)
}

// PowerAt is the full-throttle power at the rated speed for an air temperature,
// in W, warm, at the still day's pressure; the truth about a change of power is
// the ratio of two of these.
func PowerAt(c *Car, in Intake, airC float64) float64 {
	const pressurePa = 100800
	lambda := c.lambda(true, airC, pressurePa, 1)
	air := 0.0
	power := 0.0
	for range 6 { // loss depends on flow, flow on power
		power = c.fullPower(c.RatedRPM, airC, pressurePa, in.DuctLossPa*math.Pow(air/0.06, 2), lambda)
		air = c.burn(power, power, c.RatedRPM, lambda, 1).airKgS
	}
	return power
}
