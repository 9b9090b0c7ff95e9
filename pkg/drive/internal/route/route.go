// Package route finds where along a road positions lie.
package route

import "math"

const (
	// offRoute is how far from the route a position may lie and still be on it:
	// two lanes, a kerb and a phone's error.
	offRoute = 60.0 // m
	// step is how finely a route is kept.
	step = 10.0 // m
	// lookAhead is how far along the route the next position is looked for first.
	lookAhead = 400.0 // m
)

// Place is a position in metres east and north of some point of the route; NaN
// where it is not known.
type Place struct{ East, North float64 }

func (p Place) to(q Place) float64 { return math.Hypot(q.East-p.East, q.North-p.North) }

// Along returns how far along the route of a reference each of a drive's own
// positions lies, in metres from the reference's first: it never falls; NaN where
// the position is more than 60 m from the route. on counts those that are not.
func Along(reference, own []Place) (along []float64, on int) {
	road, driven := thinned(reference)
	along = make([]float64, len(own))
	at := 0
	for i, p := range own {
		k := next(road, driven, at, p)
		if k < 0 {
			along[i] = math.NaN()
			continue
		}
		at, along[i] = k, driven[k]
		on++
	}
	return along, on
}

// thinned keeps a place every step or more, with the distance driven up to it.
func thinned(all []Place) (road []Place, driven []float64) {
	for _, p := range all {
		if math.IsNaN(p.East + p.North) {
			continue
		}
		if len(road) == 0 {
			road, driven = append(road, p), append(driven, 0)
			continue
		}
		last := len(road) - 1
		if far := road[last].to(p); far >= step {
			road, driven = append(road, p), append(driven, driven[last]+far)
		}
	}
	return road, driven
}

// next is the nearest place of the road from at on, looked for nearby first; −1
// where the road is too far away.
func next(road []Place, driven []float64, at int, p Place) int {
	best, least := -1, offRoute
	for k := at; k < len(road); k++ {
		if driven[k]-driven[at] > lookAhead && best >= 0 {
			break
		}
		if far := road[k].to(p); far < least {
			best, least = k, far
		}
	}
	return best
}
