package drive

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

const (
	// offRoute is how far from the route a position may lie and still be on it:
	// two lanes, a kerb and a phone's error.
	offRoute = 60.0 // m
	// routeStep is how finely a route is kept.
	routeStep = 10.0 // m
	// lookAhead is how far along the route the next position is looked for first.
	lookAhead = 400.0 // m
	// earthRadius is the mean radius R₁ of GRS 80.
	earthRadius = 6371008.8 // m
)

// place is a position in metres east and north of some point of the route.
type place struct{ east, north float64 }

func (p place) to(q place) float64 { return math.Hypot(q.east-p.east, q.north-p.north) }

// Along returns how far along the route of another drive the car was, in metres
// from where that one began, at the times of its own positions: the same number
// is the same place of the road. It never falls; NaN where the car was more than
// 60 m from the route. Drive.Along of itself is the distance that was driven.
//
// It fails where a drive has no positions, and where the car was on the route for
// less than a tenth of its readings: another road, or the other way round.
func (d *Drive) Along(route *Drive) (*series.Series, error) {
	reference, err := route.places(route)
	if err != nil {
		return nil, err
	}
	own, err := d.places(route)
	if err != nil {
		return nil, err
	}
	road, along := thinned(reference)
	latitude := d.Channels[Latitude].Series
	out := make([]float64, len(own))
	at, on := 0, 0
	for i, p := range own {
		k := next(road, along, at, p)
		if k < 0 {
			out[i] = math.NaN()
			continue
		}
		at, out[i] = k, along[k]
		on++
	}
	if 10*on < len(own) {
		return nil, fmt.Errorf("drive %q was on the route of %q for %d of %d readings only: it took another road, or the same road the other way", d.Name, route.Name, on, len(own))
	}
	return latitude.With("along "+route.Name, series.Length, out), nil
}

// places returns the positions of d on a flat map about the begin of a route;
// NaN where one of the two numbers is missing.
func (d *Drive) places(route *Drive) ([]place, error) {
	latitude, err := d.Channel(Latitude)
	if err != nil {
		return nil, err
	}
	longitude, err := d.Channel(Longitude)
	if err != nil {
		return nil, err
	}
	from, err := route.Channel(Latitude)
	if err != nil {
		return nil, err
	}
	lat0 := from.Median(from.Interval())
	all := make([]place, latitude.Len())
	for i, t := range latitude.Time {
		lon := longitude.Lookup(t, MaxGap)
		all[i] = place{earthRadius * math.Cos(lat0) * lon, earthRadius * (latitude.Value[i] - lat0)}
	}
	return all, nil
}

// thinned keeps a place every routeStep or more, with the distance driven up to
// it.
func thinned(all []place) (road []place, along []float64) {
	for _, p := range all {
		if math.IsNaN(p.east + p.north) {
			continue
		}
		if len(road) == 0 {
			road, along = append(road, p), append(along, 0)
			continue
		}
		last := len(road) - 1
		if step := road[last].to(p); step >= routeStep {
			road, along = append(road, p), append(along, along[last]+step)
		}
	}
	return road, along
}

// next is the nearest place of the road from at on, looked for nearby first; −1
// where the road is too far away.
func next(road []place, along []float64, at int, p place) int {
	best, least := -1, offRoute
	for k := at; k < len(road); k++ {
		if along[k]-along[at] > lookAhead && best >= 0 {
			break
		}
		if far := road[k].to(p); far < least {
			best, least = k, far
		}
	}
	return best
}
