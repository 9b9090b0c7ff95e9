// Package course holds the courses that a departure takes at an opening, and what
// they leave open.
package course

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/changepoint"
)

// Between the first flow and the first rise that a probe on the tank could
// show, the coolant has to fill the hose and the tank to stir. A valve lifts by
// 1/13 per kelvin (workshop limits: full lift 11 to 15 K above the start) while
// the coolant climbs by 5 to 20 K/min; at 0.5 to 1 l/s through the full lift a
// hose of 0.1 to 0.5 l takes 3 to 9 s. The softness of the fitted start takes in
// a part of that, and the lag of probes in and on metal. What begins like the
// square of time stays within the shapes' error ε of the rise for √ε of the time
// that the rise takes, so that a slow logger sees it later.
const (
	tankFills    = 28.0 // s, about what a tank takes to fill
	radiatorLead = 2.0  // s, more for a bottom tank: the radiator fills first
)

// Lead is the mean time from the first flow to what a probe on the tank shows of
// it, s, in readings of a step of so many s: 2 s where they come every 2 s.
func Lead(step float64, bottomTank bool) float64 {
	ahead := tankFills * math.Sqrt(ShapeError(step))
	if bottomTank {
		ahead += radiatorLead
	}
	return ahead
}

// ReadingShare is how much of a step, to either side, a departure can lie from
// where the shapes put it between two readings.
const ReadingShare = 0.33

// ShapeError is what the shapes of a rise are wrong by, as a share of it: the
// more, the less readings there are to choose a shape by.
func ShapeError(step float64) float64 { return min(0.0025*step, 0.02) }

// Filling are courses of a tank that fills within a few readings: one or two
// lags in a row, up to the end.
func Filling() []changepoint.Shape {
	var shapes []changepoint.Shape
	for _, tau := range []float64{3, 6, 12, 25} {
		shapes = append(shapes, changepoint.Relaxation(tau), func(since float64) float64 {
			x := since / tau
			return 1 - (1+x)*math.Exp(-x)
		}, func(since float64) float64 {
			x := since / tau
			return 1 - (1+x+x*x/2)*math.Exp(-x)
		})
	}
	return shapes
}

// SoftStarts are the courses that a departure may take: the valve lifts in
// proportion to time, and metal and probe lag behind it.
func SoftStarts() []changepoint.Shape {
	shapes := []changepoint.Shape{changepoint.Power(1), changepoint.Power(2), changepoint.Power(3)}
	for _, tau := range []float64{3, 6, 12, 25} {
		shapes = append(shapes, changepoint.LaggedRamp(tau, 1), changepoint.LaggedRamp(tau, 2))
	}
	return shapes
}

// Bends are the courses that a departure from the climb may take.
var Bends = []changepoint.Shape{changepoint.Power(1), changepoint.Power(2), changepoint.LaggedRamp(6, 1), changepoint.LaggedRamp(25, 1)}
