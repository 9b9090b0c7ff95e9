package simulate

import "math"

// Probe is a thermocouple in one place: it lags, and a bare bead sees the
// radiation of hot metal.
type Probe struct {
	Lag       float64 // time constant in still air, s
	LagMoving float64 // time constant at 20 m/s and above, s; 0: as Lag
	Radiation float64 // share of (metal − air) by which it reads high
}

// Read returns what the probe shows for the true values, one a second.
func (p Probe) Read(truth, metal, speed []float64) []float64 {
	out := make([]float64, len(truth))
	if len(truth) == 0 {
		return out
	}
	state := truth[0]
	for i, x := range truth {
		lag := p.Lag
		if p.LagMoving > 0 {
			lag += (p.LagMoving - p.Lag) * math.Min(1, speed[i]/20)
		}
		target := x + p.Radiation*(metal[i]-x)
		if lag > 0 {
			state += (target - state) * -math.Expm1(-1/lag)
		} else {
			state = target
		}
		out[i] = state
	}
	return out
}
