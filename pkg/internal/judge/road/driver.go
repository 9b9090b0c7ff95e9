package road

import (
	"math"
	"math/rand/v2"
)

// Driver is how one person drives on one day.
type Driver struct {
	AccelMPS2 float64 // ordinary acceleration, 0.8 to 2.2
	BrakeMPS2 float64 // ordinary braking, 1.2 to 2.5
	Haste     float64 // share of the limit that is driven, 0.9 to 1.06
	Unrest    float64 // sd of the speed around what is aimed at, share (0.01 to 0.05)
	Pulls     bool    // uses full throttle where the road offers it
	StopScale float64 // times stood, against the road's mean
}

// DrawDriver draws a driver; ranges are judgement, from common traffic
// studies (ordinary accelerations 0.8 to 2 m/s², from memory).
func DrawDriver(rng *rand.Rand) Driver {
	return Driver{
		AccelMPS2: 0.9 + 1.0*rng.Float64(),
		BrakeMPS2: 1.3 + 0.9*rng.Float64(),
		Haste:     0.95 + 0.08*rng.Float64(),
		Unrest:    0.01 + 0.02*rng.Float64(),
		Pulls:     true,
		StopScale: math.Exp(0.35 * rng.NormFloat64()),
	}
}

// Steady is the driver of reference runs: the same always, no unrest.
func Steady() Driver {
	return Driver{AccelMPS2: 1.3, BrakeMPS2: 1.6, Haste: 1, Pulls: true, StopScale: 1}
}

// Aim is what the driver wants at one moment.
type Aim struct {
	SpeedMPS     float64
	FullThrottle bool
	Arrived      bool // the end of the route
}

// Trip is one driver's passage along a route: which lights are red today, how
// long each stop is, and how traffic wanders.
type Trip struct {
	route   *Route
	driver  Driver
	rng     *rand.Rand
	allowed []float64 // m/s at every cell, braking in time for what is ahead
	pull    []bool
	stops   []stop
	traffic float64
}

type stop struct{ atM, forS float64 }

// Begin decides today's stops and works out the speed allowed everywhere.
func (r *Route) Begin(d Driver, rng *rand.Rand) *Trip {
	n := len(r.HeightM)
	t := &Trip{route: r, driver: d, rng: rng, allowed: make([]float64, n), pull: make([]bool, n)}
	at := 0.0
	for _, l := range r.Legs {
		for i := r.cell(at); i <= r.cell(at+l.LengthM); i++ {
			t.allowed[i], t.pull[i] = l.LimitMPS*d.Haste, l.Pull && d.Pulls
		}
		at += l.LengthM
		red, long := rng.Float64() < l.StopChance, rng.ExpFloat64()
		if l.StopS > 0 && red && at < r.LengthM()-1 {
			t.stops = append(t.stops, stop{at, l.StopS * d.StopScale * (0.4 + 0.6*long)})
		}
	}
	t.allowed[n-1] = 0
	for i := n - 2; i >= 0; i-- {
		t.allowed[i] = min(t.allowed[i], math.Sqrt(t.allowed[i+1]*t.allowed[i+1]+2*d.BrakeMPS2*CellM))
	}
	return t
}

// Aim returns what the driver wants at a distance with a speed, and moves
// traffic and stops on by dtS seconds.
func (t *Trip) Aim(distanceM, speedMPS, dtS float64) Aim {
	if distanceM >= t.route.LengthM()-5 {
		return Aim{Arrived: true}
	}
	i := t.route.cell(distanceM)
	// Traffic wanders with a time constant of 20 s (judgement).
	t.traffic += -t.traffic*dtS/20 + t.driver.Unrest*math.Sqrt(2*dtS/20)*t.rng.NormFloat64()
	v := t.allowed[i] * (1 + t.traffic)
	full := t.pull[i] && speedMPS < t.allowed[i]-0.5
	for len(t.stops) > 0 && distanceM > t.stops[0].atM+15 {
		t.stops = t.stops[1:]
	}
	if len(t.stops) > 0 {
		s := &t.stops[0]
		left := s.atM - distanceM
		if left < 400 {
			v = min(v, math.Sqrt(2*t.driver.BrakeMPS2*max(left, 0)))
			full = full && v >= t.allowed[i]
		}
		if left < 3 {
			v = 0
			if speedMPS < 0.3 {
				s.forS -= dtS
			}
			if s.forS <= 0 {
				t.stops = t.stops[1:]
			}
		}
	}
	return Aim{SpeedMPS: max(v, 0), FullThrottle: full}
}

// Accel is the driver's ordinary acceleration towards an aim, without regard
// to what the engine can give: gentler when fast.
func (t *Trip) Accel(aimMPS, speedMPS float64) float64 {
	d := t.driver
	gain := 0.6
	if aimMPS < speedMPS {
		gain = 1.5 // brakes answer faster than engines
	}
	return min(max(gain*(aimMPS-speedMPS), -d.BrakeMPS2*1.6), d.AccelMPS2*(1-0.6*min(speedMPS/40, 1)))
}
