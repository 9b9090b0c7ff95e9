package heat

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/internal/ambientlaw"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/regression"
)

// dayScatter is the standard deviation between the means of drives of one
// unchanged car in K, where the drives at hand don't tell: 0.9 K above 95 km/h,
// 1.2 K at 60 to 95 km/h, 2 to 3 K below, 1.9 K at full throttle (the same real
// car).
func dayScatter(v, flow float64) float64 {
	const kmh = float64(quantity.KilometrePerHour)
	switch {
	case flow > hardPull:
		return 1.9
	case v < 60*kmh:
		return 2.5
	case v < 95*kmh:
		return 1.2
	}
	return 0.9
}

// hardPull is the air flow over that at a steady 60 km/h from which a load
// counts as full throttle.
const hardPull = 2.5

// line is the rise over ambient temperature, from one point a drive.
type line struct {
	value, variance      float64 // K, K² at the ambient asked for
	slope, slopeVariance float64 // K/K, its square
	scatter              float64 // K, between drives
	centre               float64 // K, the mean ambient: level and slope are independent there
}

// contributions are what the drives leave open at an ambient temperature: their
// level, which all temperatures share, and the slope, which acts by the distance
// from their mean.
func (l line) contributions(at, scale float64, drives []Analysis) []estimate.Contribution {
	far := at - l.centre
	slope := far * math.Sqrt(l.slopeVariance)
	return []estimate.Contribution{
		{Source: sourceOf(estimate.Scatter, fmt.Sprintf("days of %.1f K", scale), drives), Effect: math.Sqrt(math.Max(0, l.variance-slope*slope))},
		{Source: sourceOf(estimate.Scatter, "how the rise follows the outside temperature", drives), Effect: slope},
	}
}

// overAmbient fits rises at their ambients, and gives the rise at another. The
// level is free, the slope has the prior, the scatter between drives a
// half-normal one whose mean is the given scale, which is a typical scatter. It
// is integrated on a grid.
func overAmbient(rise, ambient []float64, at, scale float64) line {
	n := float64(len(rise))
	level := math.Max(1, mean(rise))
	k0, u := ambientlaw.Mean*level, ambientlaw.Deviation*level
	steps := 40
	if len(rise) == 1 {
		steps = 1 // one drive tells nothing about the scatter
	}
	grid := make([]line, steps)
	log, weight := make([]float64, steps), make([]float64, steps)
	for i := range steps {
		tau := scale * 3.5 * (float64(i) + 0.5) / float64(steps)
		if steps == 1 {
			tau = scale
		}
		// Two unknowns, the level at the temperature asked for and the slope.
		w := 1 / (tau * tau)
		var sx, sxx, sy, sxy float64
		for k := range rise {
			x := ambient[k] - at
			sx, sxx, sy, sxy = sx+x, sxx+x*x, sy+rise[k], sxy+x*rise[k]
		}
		a11, a12, a22 := w*n, w*sx, w*sxx+1/(u*u)
		b1, b2 := w*sy, w*sxy+k0/(u*u)
		det := a11*a22 - a12*a12
		r, k := (a22*b1-a12*b2)/det, (a11*b2-a12*b1)/det
		grid[i] = line{value: r, variance: a22 / det, slope: k, slopeVariance: a11 / det, scatter: tau}
		log[i] = n/2*math.Log(w) - math.Log(det)/2 - (k-k0)*(k-k0)/(u*u)/2 - tau*tau/(scale*scale)/math.Pi
		for j := range rise {
			e := rise[j] - r - k*(ambient[j]-at)
			log[i] -= w * e * e / 2
		}
	}
	regression.Normalise(weight, log)
	var all line
	square, slopeSquare := 0.0, 0.0
	for i, l := range grid {
		p := weight[i]
		all.value, all.slope, all.scatter = all.value+p*l.value, all.slope+p*l.slope, all.scatter+p*l.scatter
		square, slopeSquare = square+p*(l.value*l.value+l.variance), slopeSquare+p*(l.slope*l.slope+l.slopeVariance)
	}
	all.centre = mean(ambient)
	all.variance = square - all.value*all.value
	all.slopeVariance = slopeSquare - all.slope*all.slope
	return all
}
