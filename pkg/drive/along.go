package drive

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive/internal/route"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// earthRadius is the mean radius R₁ of GRS 80.
const earthRadius = 6371008.8 // m

// Along returns how far along the route of another drive the car was, in metres
// from where that one began, at the times of its own positions: the same number
// is the same place of the road. It never falls; NaN where the car was more than
// 60 m from the route. Drive.Along of itself is the distance that was driven.
//
// It fails where a drive has no positions, and where the car was on the route for
// less than a tenth of its readings: another road, or the other way round.
func (d *Drive) Along(other *Drive) (*series.Series, error) {
	middle, err := other.Channel(Latitude)
	if err != nil {
		return nil, err
	}
	lat0 := middle.Median(middle.Interval())
	reference, err := other.places(lat0)
	if err != nil {
		return nil, err
	}
	own, err := d.places(lat0)
	if err != nil {
		return nil, err
	}
	along, on := route.Along(reference, own)
	if 10*on < len(own) {
		return nil, fmt.Errorf("drive %q was on the route of %q for %d of %d readings only: it took another road, or the same road the other way", d.Name, other.Name, on, len(own))
	}
	return d.Channels[Latitude].Series.With("along "+other.Name, series.Length, along), nil
}

// places returns the positions of d on a flat map about a latitude in radians;
// NaN where one of the two numbers is missing.
func (d *Drive) places(lat0 float64) ([]route.Place, error) {
	latitude, err := d.Channel(Latitude)
	if err != nil {
		return nil, err
	}
	longitude, err := d.Channel(Longitude)
	if err != nil {
		return nil, err
	}
	all := make([]route.Place, latitude.Len())
	for i, t := range latitude.Time {
		lon := longitude.Lookup(t, MaxGap)
		all[i] = route.Place{East: earthRadius * math.Cos(lat0) * lon, North: earthRadius * (latitude.Value[i] - lat0)}
	}
	return all, nil
}
