// Package instrument reads the judge's drives as cheap instruments would:
// probes with lag, radiation and mounting, loggers with clocks of their own, a
// phone. Plain float64: seconds, °C, kelvin, m/s, degrees of arc.
package instrument

import (
	"math"
	"math/rand/v2"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
)

// Place is where a probe is meant to be.
type Place string

// The places.
const (
	Intake    Place = "intake" // air box
	Intake2   Place = "intake 2"
	Throat    Place = "throat"
	BayFront  Place = "bay front"
	BayRear   Place = "bay rear"
	Grille    Place = "grille"
	UpperTank Place = "upper tank"
	Coolant   Place = "coolant"
	Head      Place = "head"
	Oil       Place = "oil"
)

// Mounting is how a probe for water sits.
type Mounting int

// InStream is in the water, OnMetal clamped outside a hose or tank.
const (
	InStream Mounting = iota
	OnMetal
)

// Probe is one thermocouple and how it sits.
type Probe struct {
	Place    Place
	Mounting Mounting
	// LagS is the time constant in air of 5 m/s or in the water.
	LagS float64
	// Radiation scales the pull of walls: 1 is a bare bead of 1 mm.
	Radiation float64
	// MetalShare is how far what it touches pulls it.
	MetalShare float64
	// OffsetK and GainShare are its own error; RefitK what moving it added.
	OffsetK, GainShare, RefitK float64
	NoiseK                     float64
	// Second is the second intake's rise against the first's.
	Second float64
}

// Rig says what kind of probes to draw.
type Rig struct {
	Mounting Mounting
	Slow     bool
}

// RigOf is the rig that a variant of the car asks for.
func RigOf(variant string, rng *rand.Rand) Rig {
	switch variant {
	case "probe on metal":
		return Rig{Mounting: OnMetal}
	case "probe in stream":
		return Rig{}
	case "slow probe":
		return Rig{Mounting: Mounting(rng.IntN(2)), Slow: true}
	}
	return Rig{Mounting: Mounting(rng.IntN(2))}
}

// DrawProbe draws a probe. Ranges:
//
//	lag in air        1–6 s, slow 15–60 s    bare and sheathed beads, a maker's page: 1 mm 4.5 s at 1 m/s, 3 mm 35 s
//	lag in water      1–5 s, slow 6–15 s     a maker's page: 3 mm below 1 s; the pocket is judgement
//	lag on metal      8–30 s, slow 30–60 s   judgement (10–60 s, from memory)
//	low on metal      5–13 %                 of water minus bay: 3–10 K, from memory
//	radiation         0.3–1.5                of a bare 1 mm bead (computed: 4.5 % at 1 m/s), shield or not
//	own error         sd 0.8 K, ±2.5 K most  IEC 60584-1 class 2
//	gain              sd 0.2 %               of degrees above 25 °C; class 2 above 333 °C is 0.75 %
//	noise             0.05–0.15 K            judgement
func DrawProbe(p Place, r Rig, rng *rand.Rand) Probe {
	between := func(low, high float64) float64 { return low + (high-low)*rng.Float64() }
	pr := Probe{
		Place: p, Mounting: r.Mounting, Radiation: between(0.3, 1.5), MetalShare: between(0, 0.06),
		OffsetK: min(max(0.8*rng.NormFloat64(), -2.5), 2.5), GainShare: 0.002 * rng.NormFloat64(),
		NoiseK: between(0.05, 0.15), Second: between(0.75, 1.3),
	}
	switch {
	case !inWater(p):
		pr.LagS = between(1, 6)
		if r.Slow {
			pr.LagS = between(15, 60)
		}
	case r.Mounting == OnMetal:
		pr.LagS, pr.MetalShare = between(8, 30), between(0.05, 0.13)
		if r.Slow {
			pr.LagS = between(30, 60)
		}
	default:
		pr.LagS, pr.MetalShare = between(1, 5), between(0, 0.02)
		if r.Slow {
			pr.LagS = between(6, 15)
		}
	}
	return pr
}

func inWater(p Place) bool { return p == UpperTank || p == Coolant || p == Head || p == Oil }

// settled is what the probe would read at second i had it no lag, and its lag.
func (p *Probe) settled(t *car.Trace, i int) (tempC, lagS float64) {
	gas, wall, local := 0.0, 0.0, 1.0
	bay := 0.5 * (t.FrontC[i] + t.RearC[i])
	water := func(c float64) (float64, float64) {
		return c - p.MetalShare*(c-bay), p.LagS
	}
	air := t.AirMPS[i]
	flow := 1.0 // of the engine's air, m/s past a probe in the intake
	if t.Running[i] {
		flow = 1 + t.AirKgS[i]/0.004
	} else {
		flow = 0.3
	}
	switch p.Place {
	case UpperTank:
		return water(t.UpperC[i])
	case Coolant:
		return water(t.CoolantC[i])
	case Head:
		return water(t.HeadC[i])
	case Oil:
		return water(t.BlockC[i])
	case Intake:
		gas, wall, local = t.IntakeC[i], t.BoxC[i], flow
	case Intake2:
		gas, wall, local = t.AmbientC[i]+p.Second*(t.IntakeC[i]-t.AmbientC[i]), t.BoxC[i], flow
	case Throat:
		gas, wall, local = t.ThroatC[i], t.BoxC[i]+8, flow
	case BayFront:
		gas, wall, local = t.FrontC[i], 0.9*t.BlockC[i]+0.1*t.BonnetC[i], 0.3+0.15*air
	case BayRear:
		gas, wall, local = t.RearC[i], 0.94*t.BlockC[i]+0.06*t.ManifoldC[i], 0.3+0.12*air
	case Grille:
		gas, wall, local = t.GrilleC[i], t.GrilleC[i]+0.006*t.SunWPerM2[i], 0.5+0.7*air
	}
	gas += (p.radiationShare(local) + p.MetalShare) * (wall - gas)
	return gas, min(p.LagS*math.Sqrt(5/local), 8*p.LagS)
}

// radiationShare is how far walls pull a bead in air of a speed: a sphere's
// exchange grows with the speed (Whitaker), radiation stays, so its pull falls.
func (p *Probe) radiationShare(airMPS float64) float64 {
	return min(0.045*p.Radiation/math.Pow(airMPS, 0.4), 0.4)
}

// Follow returns what the probe's bead is at, each second, with lag, radiation
// and its own errors, without noise.
func (p *Probe) Follow(t *car.Trace) []float64 {
	out := make([]float64, t.Len())
	state := math.NaN()
	for i := range out {
		want, lag := p.settled(t, i)
		if math.IsNaN(state) {
			state = want
		}
		state += (want - state) * (1 - math.Exp(-1/max(lag, 0.05)))
		out[i] = state + p.OffsetK + p.RefitK + p.GainShare*(state-25)
	}
	return out
}
