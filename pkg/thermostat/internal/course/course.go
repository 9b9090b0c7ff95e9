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

// Departs is when a tank left its creep, over samples lo to from, for good on its way
// to its steepest point at peak, by 3 K and at thrice the creep's rate: a rise may
// begin long before it becomes steep at begin. NaN if there is none such.
func Departs(t, y []float64, lo, from, peak, begin int) float64 {
	if from-lo < 6 {
		return math.NaN()
	}
	var st, sy, stt, sty float64
	n := float64(from - lo)
	for i := lo; i < from; i++ {
		x := t[i] - t[from]
		st, sy, stt, sty = st+x, sy+y[i], stt+x*x, sty+x*y[i]
	}
	slope := (n*sty - st*sy) / (n*stt - st*st)
	at := (sy - slope*st) / n
	i := peak
	for i > from && y[i]-(at+slope*(t[i]-t[from])) > 3 {
		i--
	}
	if begin <= i || begin >= len(t) || y[begin]-y[i] < 4 || (y[begin]-y[i])/(t[begin]-t[i]) < max(3*slope, 0.08) {
		return math.NaN()
	}
	return t[i]
}

// AboveCreep is how far a tank rises within samples lo to hi beyond going on as before
// the rise that begins at from, K.
func AboveCreep(t, y []float64, lo, from, hi int) float64 {
	creep := 0.0
	if from > lo+1 {
		creep = max(0, (y[from]-y[lo])/(t[from]-t[lo]))
	}
	most := 0.0
	for i := lo; i < hi; i++ {
		most = max(most, y[i]-y[lo]-creep*(t[i]-t[lo]))
	}
	return most
}

// CornersAt reports whether a climb goes straight up to a level: the way to 3 K
// below it, from 20 K, takes no longer than from 37 K to 20 K. Coolant that is
// cooled all the while comes to its level exponentially, for which it takes
// three times as long.
func CornersAt(t, y []float64, level float64) bool {
	first := func(kelvin float64) float64 {
		for i, v := range y {
			if v >= kelvin {
				return t[i]
			}
		}
		return math.NaN()
	}
	low, mid, high := first(level-37), first(level-20), first(level-3)
	return y[0] < level-35 && high-mid < 1.2*(mid-low)
}
