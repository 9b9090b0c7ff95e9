package clock

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// motionStep is the grid for the response to motion in seconds. Bay air takes
// ten seconds and more to answer, so that a finer grid only adds noise.
const motionStep = 4.0

// The bank of answers that are tried. Air under a bonnet warms at rest and
// cools in the air stream: its equilibrium is a falling function of speed,
// with a half-way speed that differs from car to car, smaller while the engine
// is cold, and it is approached with the time constant of the bay, then of the
// probe. Which of them holds is not known beforehand, so the estimate averages
// over all, weighed by the data. Values are common practice, no source; they only need to span what
// occurs.
var (
	halfwaySpeeds = []float64{1.0, 4, 10}         // m/s
	bayConstants  = []float64{8, 16, 32, 64, 128} // s
	probeLags     = []float64{0, 10}              // s
)

// engineConstant is the time constant of a cold engine's warming up in
// seconds; common practice, no source. Engines that are warm at the start are
// in the bank as well.
const engineConstant = 600.0

// trendWidth is the width in seconds of the moving mean that is taken off both
// signals: what is slower, warming up and the day's course, would otherwise
// pass for a relation.
const trendWidth = 300.0

func withoutTrend(g sampled) sampled {
	mean := movingMean(g.v, int(trendWidth/g.dt))
	out := sampled{g.t0, g.dt, make([]float64, len(g.v))}
	for i, v := range g.v {
		out.v[i] = v - mean[i]
	}
	return out
}

// answers returns the speed passed through each model of the bank, averaged
// over dt.
func answers(speed *series.Series, dt, maxGap float64) []sampled {
	fine := onGrid(speed, 1, math.Max(maxGap, 30))
	var all []sampled
	for _, half := range halfwaySpeeds {
		u := make([]float64, len(fine.v))
		for i, v := range fine.v {
			u[i] = 1 / (1 + math.Max(v, 0)*math.Max(v, 0)/(half*half))
		}
		for _, heat := range [][]float64{u, warmingUp(u)} {
			for _, bay := range bayConstants {
				warmed := lowPass(heat, bay)
				for _, probe := range probeLags {
					all = append(all, sampled{fine.t0, 1, movingMean(lowPass(warmed, probe), int(dt))})
				}
			}
		}
	}
	return all
}

// warmingUp lets u grow from nothing as a cold engine does: it cannot warm the
// air at the first stop as it does at the last.
func warmingUp(u []float64) []float64 {
	out := make([]float64, len(u))
	for i, v := range u {
		out[i] = v * (1 - math.Exp(-float64(i)/engineConstant))
	}
	return out
}

// lowPass is the first-order lag with the time constant tau at steps of 1 s.
// After a missing value it starts again at the value that follows.
func lowPass(u []float64, tau float64) []float64 {
	out := make([]float64, len(u))
	k := 1.0
	if tau > 0 {
		k = 1 - math.Exp(-1/tau)
	}
	state := math.NaN()
	for i, v := range u {
		switch {
		case math.IsNaN(v):
			state = math.NaN()
		case math.IsNaN(state):
			state = v
		default:
			state += k * (v - state)
		}
		out[i] = state
	}
	return out
}

// movingMean averages the present ones of n neighbouring values, centred;
// fewer at the ends.
func movingMean(x []float64, n int) []float64 {
	if n < 2 {
		return x
	}
	sum, count := make([]float64, len(x)+1), make([]float64, len(x)+1)
	for i, v := range x {
		sum[i+1], count[i+1] = sum[i], count[i]
		if !math.IsNaN(v) {
			sum[i+1], count[i+1] = sum[i]+v, count[i]+1
		}
	}
	out := make([]float64, len(x))
	for i, v := range x {
		lo, hi := max(0, i-n/2), min(len(x), i+n/2+1)
		out[i] = (sum[hi] - sum[lo]) / (count[hi] - count[lo])
		if math.IsNaN(v) {
			out[i] = v
		}
	}
	return out
}
