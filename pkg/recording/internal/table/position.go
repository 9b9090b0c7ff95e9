package table

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Position returns the columns of latitude and longitude, −1 where there is
// none.
func (t *Table) Position() (lat, lon int) {
	lat, lon = -1, -1
	for i, c := range t.Columns {
		switch {
		case c.Content == layout.HoldsLatitude && lat < 0:
			lat = i
		case c.Content == layout.HoldsLongitude && lon < 0:
			lon = i
		}
	}
	return lat, lon
}

// Distance returns the great-circle distance in metres between two positions
// in radians, by the haversine formula on a sphere of the mean Earth radius
// R1 = 6371008.8 m (WGS 84; Moritz, Geodetic Reference System 1980). Against
// the ellipsoid it is off by up to 0.5 %.
func Distance(lat1, lon1, lat2, lon2 float64) float64 {
	const radius = 6371008.8
	s1, s2 := math.Sin((lat2-lat1)/2), math.Sin((lon2-lon1)/2)
	h := s1*s1 + math.Cos(lat1)*math.Cos(lat2)*s2*s2
	return 2 * radius * math.Asin(math.Sqrt(min(1, h)))
}
