package table

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// The range of type K thermocouples (IEC 60584-1), where also a broken sensor's
// reading comes to rest.
var (
	coldest = quantity.Celsius(-200).Kelvin()
	hottest = quantity.Celsius(1372).Kelvin()
)

// Measurable reports whether an SI value can have been measured: by a
// thermocouple, on the globe, by a car.
func Measurable(c layout.Content, v float64) bool {
	switch c {
	case layout.HoldsTemperature:
		return v > coldest && v < hottest
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
