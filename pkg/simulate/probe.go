package simulate

import "math"

// Probe is a thermocouple in one place: it lags, and a bare bead sees the
// radiation of hot metal.
type Probe struct {
	Lag       float64 // time constant in still air, s
	LagMoving float64 // time constant at 20 m/s and above, s; 0: as Lag
	Radiation float64 // share of (metal − air) by which it reads high
	// RadiationSpeed is the speed in m/s at which moving air has halved that
	// share: a bead's heat transfer grows with the root of the stream. 0: the
	// share does not depend on speed.
	RadiationSpeed float64
	// Offset is by how many K it reads high as it is fitted. A probe that is
	// taken out with its part and fitted again has another one.
	Offset float64
}

// share is the share of (metal − air) at a speed.
func (p Probe) share(speed float64) float64 {
	if p.RadiationSpeed <= 0 {
		return p.Radiation
	}
	return p.Radiation / (1 + math.Sqrt(math.Max(0, speed)/p.RadiationSpeed))
}

// Read returns what the probe shows for the true values, one a second.
func (p Probe) Read(truth, metal, speed []float64) []float64 {
	out := make([]float64, len(truth))
	if len(truth) == 0 {
		return out
	}
	state := truth[0]
	var at float64
	for i, x := range truth {
		lag := p.Lag
		if p.LagMoving > 0 {
			lag += (p.LagMoving - p.Lag) * math.Min(1, speed[i]/20)
		}
		if p.RadiationSpeed > 0 {
			at = speed[i]
		}
		target := x + p.share(at)*(metal[i]-x)
		if lag > 0 {
			state += (target - state) * -math.Expm1(-1/lag)
		} else {
			state = target
		}
		out[i] = state + p.Offset
	}
	return out
}
