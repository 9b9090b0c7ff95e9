// Package zones holds what was read of the aviation authorities' carburettor
// icing chart: temperatures and dew points in °C.
package zones

import "math"

// Zone is one of the chart's, the milder first.
type Zone int

// The zones.
const (
	Light Zone = iota
	SeriousSmallThrottle
	ModerateCruise
	SeriousAnyPower
)

// Basis says what a limit rests on.
type Basis int

// The bases.
const (
	NotRead Basis = iota
	ByChart
	BetweenPoints // at least this
)

// Dew points in °C between which the published fit of the chart's curves
// holds, and the points beyond that were published one by one.
const (
	fitFrom, fitTo = -6.0, 6.0
	// Samples of the outermost curve, dew point and temperature, given with
	// the fit.
	LightFarDew, LightFarLimit   = -13.9, -13.7
	lightNearDew, lightNearLimit = -9.2, 0.0
	// A published reading of the chart in warm humid air: moderate at cruise.
	humidDew, humidTemperature = 19.0, 26.0
	// readingSpread is how far a curve read from a printed chart may be
	// off, in K; common practice, no source.
	readingSpread = 1.0
	// rounding lets a dew point of 19 °C pass that was worked out from a
	// vapour pressure.
	rounding = 0.01
)

// fit holds the coefficients of the warm limits in °C as polynomials of the
// dew point in °C.
var fit = [][]float64{
	Light:                {19.634, 1.688, -0.044},
	SeriousSmallThrottle: {15.896, 1.916, -0.146, 0.011},
	ModerateCruise:       {8.797, 2.878, -0.308, 0.024, -0.001},
	SeriousAnyPower:      {4.955, 3.183, -0.550, 0.065, -0.004},
}

// WarmLimit returns the temperature up to which the chart has the zone at a dew
// point; NaN where that was not read.
func WarmLimit(z Zone, d float64) (float64, Basis) {
	c := fit[z]
	switch {
	case d >= fitFrom && d <= fitTo:
		return polynomial(c, d), ByChart
	case z == Light && d >= lightNearDew && d < fitFrom:
		return onLine(d, lightNearDew, lightNearLimit, fitFrom, polynomial(c, fitFrom)), ByChart
	case z == Light && d >= LightFarDew && d < lightNearDew:
		return onLine(d, LightFarDew, LightFarLimit, lightNearDew, lightNearLimit), ByChart
	case z != SeriousAnyPower && d > fitTo && d <= humidDew+rounding:
		end := polynomial(c, fitTo)
		return onLine(d, fitTo, end, humidDew, math.Max(end, humidTemperature)), BetweenPoints
	}
	return math.NaN(), NotRead
}

// Spread is the half width in K of what is not known of a warm limit: the
// reading, and twice the standard uncertainty that rounding six coefficients
// to 0.001 leaves (the fit was of fifth degree).
func Spread(d float64) float64 {
	if d < fitFrom {
		return readingSpread // of the samples
	}
	const step = 0.001
	sum, power := 0.0, 1.0
	for range 6 {
		sum += power * power
		power *= math.Min(d, fitTo)
	}
	return math.Hypot(readingSpread, 2*step/math.Sqrt(12)*math.Sqrt(sum))
}

func polynomial(c []float64, d float64) float64 {
	y := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		y = y*d + c[i]
	}
	return y
}

func onLine(x, x0, y0, x1, y1 float64) float64 { return y0 + (y1-y0)*(x-x0)/(x1-x0) }
