package recording

import (
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// unit is a unit that a file's numbers can be in.
type unit struct {
	name    string // how we write it
	content Content
	// factor and offset bring a number to SI: number*factor + offset. The
	// offset scales are marked instead, so that they are computed exactly as
	// quantity computes them.
	factor     float64
	celsius    bool
	fahrenheit bool
	// minutes marks positions written as degrees and minutes, ddmm.mmmm.
	minutes bool
}

// si returns the number in SI units.
func (u *unit) si(v float64) float64 {
	switch {
	case u.celsius:
		return quantity.Celsius(v).Kelvin()
	case u.fahrenheit:
		return quantity.Fahrenheit(v).Kelvin()
	case u.minutes:
		d := math.Trunc(v / 100)
		return (d + (v-100*d)/60) * degree.factor
	}
	return v * u.factor
}

// fits reports whether a column that holds c can be in this unit.
func (u *unit) fits(c Content) bool {
	switch c {
	case u.content:
		return true
	case HoldsNumber:
		return true
	case HoldsDifference:
		return u.content == HoldsTemperature
	case HoldsLatitude, HoldsLongitude:
		return u.content == HoldsAngle
	case HoldsHumidity:
		return u.name == "%"
	case HoldsTime, HoldsDateTime:
		return u.content == HoldsTime
	}
	return false
}

// dimension of each content; what is not listed is Dimensionless.
var dimensions = map[Content]series.Dimension{
	HoldsTemperature: series.Temperature, HoldsDifference: series.TemperatureDifference,
	HoldsSpeed: series.Speed, HoldsLatitude: series.Angle, HoldsLongitude: series.Angle,
	HoldsLength: series.Length, HoldsAngle: series.Angle, HoldsPressure: series.Pressure,
	HoldsHumidity: series.RelativeHumidity, HoldsRotation: series.RotationalSpeed,
	HoldsVoltage: series.Voltage, HoldsPower: series.Power, HoldsAccel: series.Acceleration,
}

// baseUnit is the SI unit of each content, used where a file names none.
var baseUnit = map[Content]string{
	HoldsLatitude: "°", HoldsLongitude: "°", HoldsAngle: "°", HoldsLength: "m", HoldsRotation: "rpm",
	HoldsVoltage: "V", HoldsPower: "W", HoldsAccel: "m/s²", HoldsHumidity: "%",
}

var (
	celsius    = &unit{name: "°C", content: HoldsTemperature, factor: 1, celsius: true}
	fahrenheit = &unit{name: "°F", content: HoldsTemperature, factor: 1 / 1.8, fahrenheit: true}
	kelvin     = &unit{name: "K", content: HoldsTemperature, factor: 1}
	degree     = &unit{name: "°", content: HoldsAngle, factor: float64(quantity.Degree)}
	metrePerS  = &unit{name: "m/s", content: HoldsSpeed, factor: 1}
	kmPerHour  = &unit{name: "km/h", content: HoldsSpeed, factor: float64(quantity.KilometrePerHour)}
	milesPerH  = &unit{name: "mph", content: HoldsSpeed, factor: float64(quantity.MilePerHour)}
	knot       = &unit{name: "kn", content: HoldsSpeed, factor: float64(quantity.Knot)}
	metre      = &unit{name: "m", content: HoldsLength, factor: 1}
	hectoPa    = &unit{name: "hPa", content: HoldsPressure, factor: 100}
	kiloPa     = &unit{name: "kPa", content: HoldsPressure, factor: 1000}
	pascal     = &unit{name: "Pa", content: HoldsPressure, factor: 1}
	raw        = &unit{name: "", content: HoldsNumber, factor: 1}
)

// standardGravity is g_n, exact (3rd CGPM, 1901).
const standardGravity = 9.80665

// unitNames maps what files write, normalised, to units.
var unitNames = map[string]*unit{
	"c": celsius, "°c": celsius, "degc": celsius, "degreec": celsius, "degreesc": celsius, "celsius": celsius,
	"℃": celsius, "ºc": celsius, "grdc": celsius, "gradc": celsius, "degcelsius": celsius, "degreecelsius": celsius,
	"degreescelsius": celsius, "?c": celsius, "\ufffdc": celsius, "oc": celsius,
	"f": fahrenheit, "°f": fahrenheit, "degf": fahrenheit, "degreef": fahrenheit, "degreesf": fahrenheit,
	"fahrenheit": fahrenheit, "℉": fahrenheit, "ºf": fahrenheit, "degfahrenheit": fahrenheit,
	"degreefahrenheit": fahrenheit, "degreesfahrenheit": fahrenheit, "?f": fahrenheit, "\ufffdf": fahrenheit,
	"k": kelvin, "kelvin": kelvin,
	"m/s": metrePerS, "mps": metrePerS, "ms-1": metrePerS, "meters/second": metrePerS, "m/sec": metrePerS,
	"km/h": kmPerHour, "kmh": kmPerHour, "kph": kmPerHour, "kmph": kmPerHour, "km/hr": kmPerHour,
	"mph": milesPerH, "mi/h": milesPerH, "miles/h": milesPerH,
	"kn": knot, "kt": knot, "kts": knot, "knots": knot, "knot": knot,
	"m": metre, "metre": metre, "meter": metre, "metres": metre, "meters": metre,
	"km":   {name: "km", content: HoldsLength, factor: 1000},
	"ft":   {name: "ft", content: HoldsLength, factor: float64(quantity.Foot)},
	"feet": {name: "ft", content: HoldsLength, factor: float64(quantity.Foot)},
	"mi":   {name: "mi", content: HoldsLength, factor: float64(quantity.Mile)},
	"mm":   {name: "mm", content: HoldsLength, factor: 1e-3},
	"°":    degree, "deg": degree, "degree": degree, "degrees": degree, "º": degree,
	"rad": {name: "rad", content: HoldsAngle, factor: 1},
	"pa":  pascal, "hpa": hectoPa, "mbar": hectoPa, "mb": hectoPa, "kpa": kiloPa,
	"bar":          {name: "bar", content: HoldsPressure, factor: 1e5},
	"psi":          {name: "psi", content: HoldsPressure, factor: float64(quantity.PoundPerSquareInch)},
	"inhg":         {name: "inHg", content: HoldsPressure, factor: float64(quantity.InchOfMercury)},
	"mmhg":         {name: "mmHg", content: HoldsPressure, factor: 133.3224}, // NIST SP 811, B.8
	"%":            {name: "%", content: HoldsNumber, factor: 0.01},
	"%rh":          {name: "%", content: HoldsHumidity, factor: 0.01},
	"rh":           {name: "%", content: HoldsHumidity, factor: 0.01},
	"fraction":     {name: "fraction", content: HoldsHumidity, factor: 1},
	"ddmmmmmm":     degreeMinutes, // its name without the point
	"1e-7°":        tenMillionths,
	"rpm":          {name: "rpm", content: HoldsRotation, factor: 1.0 / 60},
	"1/min":        {name: "rpm", content: HoldsRotation, factor: 1.0 / 60},
	"r/min":        {name: "rpm", content: HoldsRotation, factor: 1.0 / 60},
	"u/min":        {name: "rpm", content: HoldsRotation, factor: 1.0 / 60},
	"1/s":          {name: "1/s", content: HoldsRotation, factor: 1},
	"v":            {name: "V", content: HoldsVoltage, factor: 1},
	"mv":           {name: "mV", content: HoldsVoltage, factor: 1e-3},
	"volt":         {name: "V", content: HoldsVoltage, factor: 1},
	"volts":        {name: "V", content: HoldsVoltage, factor: 1},
	"w":            {name: "W", content: HoldsPower, factor: 1},
	"kw":           {name: "kW", content: HoldsPower, factor: 1000},
	"m/s²":         {name: "m/s²", content: HoldsAccel, factor: 1},
	"m/s2":         {name: "m/s²", content: HoldsAccel, factor: 1},
	"m/s^2":        {name: "m/s²", content: HoldsAccel, factor: 1},
	"g":            {name: "g", content: HoldsAccel, factor: standardGravity},
	"s":            {name: "s", content: HoldsTime, factor: 1},
	"sec":          {name: "s", content: HoldsTime, factor: 1},
	"secs":         {name: "s", content: HoldsTime, factor: 1},
	"second":       {name: "s", content: HoldsTime, factor: 1},
	"seconds":      {name: "s", content: HoldsTime, factor: 1},
	"ms":           {name: "ms", content: HoldsTime, factor: 1e-3},
	"msec":         {name: "ms", content: HoldsTime, factor: 1e-3},
	"millis":       {name: "ms", content: HoldsTime, factor: 1e-3},
	"milliseconds": {name: "ms", content: HoldsTime, factor: 1e-3},
	"us":           {name: "us", content: HoldsTime, factor: 1e-6},
	"µs":           {name: "us", content: HoldsTime, factor: 1e-6},
	"min":          {name: "min", content: HoldsTime, factor: 60},
	"minutes":      {name: "min", content: HoldsTime, factor: 60},
	"h":            {name: "h", content: HoldsTime, factor: 3600},
	"hours":        {name: "h", content: HoldsTime, factor: 3600},
}

// lookUpUnit finds the unit that a file writes as s.
func lookUpUnit(s string) (*unit, bool) {
	s = strings.ToLower(strings.TrimSpace(s))
	s = strings.ReplaceAll(s, "â°", "°") // UTF-8 that was encoded twice
	s = strings.NewReplacer(" ", "", "_", "", ".", "", "\u00a0", "").Replace(s)
	u, ok := unitNames[s]
	return u, ok
}
