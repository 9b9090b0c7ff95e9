package layout

import (
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

var (
	DegreeMinutes = &Unit{Name: "ddmm.mmmm", Content: HoldsAngle, minutes: true}
	TenMillionths = &Unit{Name: "1e-7°", Content: HoldsAngle, Factor: Degree.Factor * 1e-7}
)

// Unit is a unit that a file's numbers can be in.
type Unit struct {
	Name    string // how we write it
	Content Content
	// Factor and offset bring a number to SI: number*factor + offset. The
	// offset scales are marked instead, so that they are computed exactly as
	// quantity computes them.
	Factor     float64
	Celsius    bool
	Fahrenheit bool
	// minutes marks positions written as degrees and minutes, ddmm.mmmm.
	minutes bool
}

// Si returns the number in SI units.
func (u *Unit) Si(v float64) float64 {
	switch {
	case u.Celsius:
		return quantity.Celsius(v).Kelvin()
	case u.Fahrenheit:
		return quantity.Fahrenheit(v).Kelvin()
	case u.minutes:
		d := math.Trunc(v / 100)
		return (d + (v-100*d)/60) * Degree.Factor
	}
	return v * u.Factor
}

// Fits reports whether a column that holds c can be in this unit.
func (u *Unit) Fits(c Content) bool {
	switch c {
	case u.Content:
		return true
	case HoldsNumber:
		return true
	case HoldsDifference:
		return u.Content == HoldsTemperature
	case HoldsLatitude, HoldsLongitude:
		return u.Content == HoldsAngle
	case HoldsHumidity:
		return u.Name == "%"
	case HoldsTime, HoldsDateTime:
		return u.Content == HoldsTime
	}
	return false
}

// dimension of each content; what is not listed is Dimensionless.
var Dimensions = map[Content]series.Dimension{
	HoldsTemperature: series.Temperature, HoldsDifference: series.TemperatureDifference,
	HoldsSpeed: series.Speed, HoldsLatitude: series.Angle, HoldsLongitude: series.Angle,
	HoldsLength: series.Length, HoldsAngle: series.Angle, HoldsPressure: series.Pressure,
	HoldsHumidity: series.RelativeHumidity, HoldsRotation: series.RotationalSpeed,
	HoldsVoltage: series.Voltage, HoldsPower: series.Power, HoldsAccel: series.Acceleration,
}

var (
	Celsius    = &Unit{Name: "°C", Content: HoldsTemperature, Factor: 1, Celsius: true}
	Fahrenheit = &Unit{Name: "°F", Content: HoldsTemperature, Factor: 1 / 1.8, Fahrenheit: true}
	Kelvin     = &Unit{Name: "K", Content: HoldsTemperature, Factor: 1}
	Degree     = &Unit{Name: "°", Content: HoldsAngle, Factor: float64(quantity.Degree)}
	MetrePerS  = &Unit{Name: "m/s", Content: HoldsSpeed, Factor: 1}
	KmPerHour  = &Unit{Name: "km/h", Content: HoldsSpeed, Factor: float64(quantity.KilometrePerHour)}
	MilesPerH  = &Unit{Name: "mph", Content: HoldsSpeed, Factor: float64(quantity.MilePerHour)}
	Knot       = &Unit{Name: "kn", Content: HoldsSpeed, Factor: float64(quantity.Knot)}
	Metre      = &Unit{Name: "m", Content: HoldsLength, Factor: 1}
	HectoPa    = &Unit{Name: "hPa", Content: HoldsPressure, Factor: 100}
	KiloPa     = &Unit{Name: "kPa", Content: HoldsPressure, Factor: 1000}
	Pascal     = &Unit{Name: "Pa", Content: HoldsPressure, Factor: 1}
	Raw        = &Unit{Name: "", Content: HoldsNumber, Factor: 1}
)

// standardGravity is g_n, exact (3rd CGPM, 1901).
const standardGravity = 9.80665

// UnitNames maps what files write, normalised, to units.
var UnitNames = map[string]*Unit{
	"c": Celsius, "°c": Celsius, "degc": Celsius, "degreec": Celsius, "degreesc": Celsius, "celsius": Celsius,
	"℃": Celsius, "ºc": Celsius, "grdc": Celsius, "gradc": Celsius, "degcelsius": Celsius, "degreecelsius": Celsius,
	"degreescelsius": Celsius, "?c": Celsius, "\ufffdc": Celsius, "oc": Celsius,
	"f": Fahrenheit, "°f": Fahrenheit, "degf": Fahrenheit, "degreef": Fahrenheit, "degreesf": Fahrenheit,
	"fahrenheit": Fahrenheit, "℉": Fahrenheit, "ºf": Fahrenheit, "degfahrenheit": Fahrenheit,
	"degreefahrenheit": Fahrenheit, "degreesfahrenheit": Fahrenheit, "?f": Fahrenheit, "\ufffdf": Fahrenheit,
	"k": Kelvin, "kelvin": Kelvin,
	"m/s": MetrePerS, "mps": MetrePerS, "ms-1": MetrePerS, "meters/second": MetrePerS, "m/sec": MetrePerS,
	"km/h": KmPerHour, "kmh": KmPerHour, "kph": KmPerHour, "kmph": KmPerHour, "km/hr": KmPerHour,
	"mph": MilesPerH, "mi/h": MilesPerH, "miles/h": MilesPerH,
	"kn": Knot, "kt": Knot, "kts": Knot, "knots": Knot, "knot": Knot,
	"m": Metre, "metre": Metre, "meter": Metre, "metres": Metre, "meters": Metre,
	"km":   {Name: "km", Content: HoldsLength, Factor: 1000},
	"ft":   {Name: "ft", Content: HoldsLength, Factor: float64(quantity.Foot)},
	"feet": {Name: "ft", Content: HoldsLength, Factor: float64(quantity.Foot)},
	"mi":   {Name: "mi", Content: HoldsLength, Factor: float64(quantity.Mile)},
	"mm":   {Name: "mm", Content: HoldsLength, Factor: 1e-3},
	"°":    Degree, "deg": Degree, "degree": Degree, "degrees": Degree, "º": Degree,
	"rad": {Name: "rad", Content: HoldsAngle, Factor: 1},
	"pa":  Pascal, "hpa": HectoPa, "mbar": HectoPa, "mb": HectoPa, "kpa": KiloPa,
	"bar":          {Name: "bar", Content: HoldsPressure, Factor: 1e5},
	"psi":          {Name: "psi", Content: HoldsPressure, Factor: float64(quantity.PoundPerSquareInch)},
	"inhg":         {Name: "inHg", Content: HoldsPressure, Factor: float64(quantity.InchOfMercury)},
	"mmhg":         {Name: "mmHg", Content: HoldsPressure, Factor: 133.3224}, // NIST SP 811, B.8
	"%":            {Name: "%", Content: HoldsNumber, Factor: 0.01},
	"%rh":          {Name: "%", Content: HoldsHumidity, Factor: 0.01},
	"rh":           {Name: "%", Content: HoldsHumidity, Factor: 0.01},
	"fraction":     {Name: "fraction", Content: HoldsHumidity, Factor: 1},
	"ddmmmmmm":     DegreeMinutes, // its name without the point
	"1e-7°":        TenMillionths,
	"rpm":          {Name: "rpm", Content: HoldsRotation, Factor: 1.0 / 60},
	"1/min":        {Name: "rpm", Content: HoldsRotation, Factor: 1.0 / 60},
	"r/min":        {Name: "rpm", Content: HoldsRotation, Factor: 1.0 / 60},
	"u/min":        {Name: "rpm", Content: HoldsRotation, Factor: 1.0 / 60},
	"1/s":          {Name: "1/s", Content: HoldsRotation, Factor: 1},
	"v":            {Name: "V", Content: HoldsVoltage, Factor: 1},
	"mv":           {Name: "mV", Content: HoldsVoltage, Factor: 1e-3},
	"volt":         {Name: "V", Content: HoldsVoltage, Factor: 1},
	"volts":        {Name: "V", Content: HoldsVoltage, Factor: 1},
	"w":            {Name: "W", Content: HoldsPower, Factor: 1},
	"kw":           {Name: "kW", Content: HoldsPower, Factor: 1000},
	"m/s²":         {Name: "m/s²", Content: HoldsAccel, Factor: 1},
	"m/s2":         {Name: "m/s²", Content: HoldsAccel, Factor: 1},
	"m/s^2":        {Name: "m/s²", Content: HoldsAccel, Factor: 1},
	"g":            {Name: "g", Content: HoldsAccel, Factor: standardGravity},
	"s":            {Name: "s", Content: HoldsTime, Factor: 1},
	"sec":          {Name: "s", Content: HoldsTime, Factor: 1},
	"secs":         {Name: "s", Content: HoldsTime, Factor: 1},
	"second":       {Name: "s", Content: HoldsTime, Factor: 1},
	"seconds":      {Name: "s", Content: HoldsTime, Factor: 1},
	"ms":           {Name: "ms", Content: HoldsTime, Factor: 1e-3},
	"msec":         {Name: "ms", Content: HoldsTime, Factor: 1e-3},
	"millis":       {Name: "ms", Content: HoldsTime, Factor: 1e-3},
	"milliseconds": {Name: "ms", Content: HoldsTime, Factor: 1e-3},
	"us":           {Name: "us", Content: HoldsTime, Factor: 1e-6},
	"µs":           {Name: "us", Content: HoldsTime, Factor: 1e-6},
	"min":          {Name: "min", Content: HoldsTime, Factor: 60},
	"minutes":      {Name: "min", Content: HoldsTime, Factor: 60},
	"h":            {Name: "h", Content: HoldsTime, Factor: 3600},
	"hours":        {Name: "h", Content: HoldsTime, Factor: 3600},
}

// LookUpUnit finds the unit that a file writes as s.
func LookUpUnit(s string) (*Unit, bool) {
	s = strings.ToLower(strings.TrimSpace(s))
	s = strings.ReplaceAll(s, "â°", "°") // UTF-8 that was encoded twice
	s = strings.NewReplacer(" ", "", "_", "", ".", "", "\u00a0", "").Replace(s)
	u, ok := UnitNames[s]
	return u, ok
}
