package road

import (
	"fmt"
	"math/rand/v2"
)

// Kind names a sort of road.
type Kind string

// The kinds that New knows.
const (
	Mixed    Kind = "mixed"    // village, open road with pulls, motorway, town, half an hour to three quarters
	Country  Kind = "country"  // open road and villages only
	Town     Kind = "town"     // streets with lights
	Motorway Kind = "motorway" // a slip road and then fast
	Hop      Kind = "hop"      // to the shop: too short to warm up
	Flat     Kind = "flat"     // level, one limit, no stop: the reference for cruises
)

// Kinds lists all kinds.
func Kinds() []Kind { return []Kind{Mixed, Country, Town, Motorway, Hop, Flat} }

const kmh = 1 / 3.6

// New makes a route of a kind. The same kind and numbers make the same route.
// It fails when the kind is not one of Kinds.
func New(kind Kind, rng *rand.Rand) (*Route, error) {
	r := &Route{Name: string(kind), LatDeg: 43 + 12*rng.Float64(), LonDeg: -4 + 18*rng.Float64()}
	around := func(m float64) float64 { return m * (0.8 + 0.4*rng.Float64()) }
	add := func(metres, limitKMH, stopS, chance float64) {
		r.Legs = append(r.Legs, Leg{around(metres), limitKMH * kmh, stopS, chance, false})
	}
	streets := func(n int) {
		for range n {
			add(380, 48, 22, 0.6)
		}
	}
	pull := func() {
		add(150, 55, 0, 0)
		r.Legs = append(r.Legs, Leg{around(1100), 108 * kmh, 0, 0, true})
	}
	slope := 0.03
	switch kind {
	case Mixed:
		streets(4)
		add(9000, 86, 0, 0)
		add(900, 48, 15, 0.5)
		pull()
		add(5000, 86, 0, 0)
		pull()
		add(7000, 112, 0, 0)
		add(700, 60, 20, 0.7)
		streets(7)
		add(4000, 70, 0, 0)
		pull()
		streets(5)
	case Country:
		streets(2)
		for range 3 {
			add(6500, 84, 0, 0)
			add(800, 48, 12, 0.4)
			pull()
		}
		add(5000, 72, 12, 0.5)
	case Town:
		streets(22)
	case Motorway:
		streets(3)
		add(3000, 80, 0, 0)
		pull()
		add(22000, 114, 0, 0)
		add(6000, 100, 0, 0)
		streets(2)
		slope = 0.02
	case Hop:
		streets(5)
		add(700, 62, 0, 0)
	case Flat:
		r.Legs = []Leg{{LengthM: 60000, LimitMPS: 86 * kmh}}
		slope = 0
	default:
		return nil, fmt.Errorf("road.New: kind %q is none of %v", kind, Kinds())
	}
	r.lay(rng, slope)
	return r, nil
}

// Level makes a road of one grade (m/m) and one limit (m/s), without stops:
// the bench on which the truth about sustained load is found.
func Level(lengthM, limitMPS, gradeMPM float64) *Route {
	r := &Route{Name: "bench", Legs: []Leg{{LengthM: lengthM, LimitMPS: limitMPS}}, LatDeg: 50}
	r.lay(rand.New(rand.NewPCG(1, 1)), 0)
	height := 100.0
	for i := range r.GradeMPM {
		r.GradeMPM[i], r.HeightM[i] = gradeMPM, height
		height += gradeMPM * CellM
	}
	return r
}
