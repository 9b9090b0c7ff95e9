package drive

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// display is the unit in which a person reads a dimension: (x−offset)/factor
// of the SI value.
type display struct {
	symbol         string
	factor, offset float64
}

func (u display) from(x float64) float64 { return (x - u.offset) / u.factor }

func displayUnit(d series.Dimension) display {
	switch d {
	case series.Temperature:
		return display{"°C", 1, 273.15}
	case series.Speed:
		return display{"km/h", 1 / 3.6, 0}
	case series.Angle:
		return display{"deg", math.Pi / 180, 0}
	case series.Pressure:
		return display{"hPa", 100, 0}
	case series.RelativeHumidity:
		return display{"%", 0.01, 0}
	case series.RotationalSpeed:
		return display{"1/min", 1.0 / 60, 0}
	}
	return display{d.Symbol(), 1, 0}
}
