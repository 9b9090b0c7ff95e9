package table

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Measurable reports whether an SI value can have been measured. Limits: the
// range of type K thermocouples, −200 to 1372 °C, where also a broken sensor's
// reading comes to rest; the globe; a car.
func Measurable(c layout.Content, v float64) bool {
	switch c {
	case layout.HoldsTemperature:
		return v > 73.15 && v < 1645.15
	case layout.HoldsSpeed:
		return v >= 0 && v < 150
	case layout.HoldsLatitude:
		return math.Abs(v) <= math.Pi/2+1e-9
	case layout.HoldsLongitude:
		return math.Abs(v) <= math.Pi+1e-9
	case layout.HoldsHumidity:
		return v >= 0 && v <= 1.05
	case layout.HoldsLength:
		return math.Abs(v) < 1e8
	}
	return true
}
