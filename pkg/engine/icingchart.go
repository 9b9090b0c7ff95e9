package engine

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// IcingZone is a zone of the aviation authorities' carburettor icing chart of
// air temperature against dew point, the milder first. A zone contains the
// following ones.
type IcingZone int

// The zones.
const (
	IcingZoneNotRead          IcingZone = iota // the chart was not read there
	NoIcingZone                                // warmer than every curve
	LightIcing                                 // light at any power
	SeriousIcingSmallThrottle                  // serious at descent power
	ModerateIcingCruise                        // moderate at cruise power too
	SeriousIcingAnyPower                       // serious at any power
)

// String returns what the chart says of the zone, in a car's words.
func (z IcingZone) String() string {
	switch z {
	case NoIcingZone:
		return "outside the chart's zones"
	case LightIcing:
		return "light icing"
	case SeriousIcingSmallThrottle:
		return "serious icing at small throttle"
	case ModerateIcingCruise:
		return "moderate icing at cruise, serious at small throttle"
	case SeriousIcingAnyPower:
		return "serious icing at any power"
	}
	return "not read from the chart"
}

// IcingBasis says what an icing risk rests on.
type IcingBasis int

// The bases.
const (
	IcingByEnvelope    IcingBasis = iota // humidity limits of the aviation authorities' texts
	IcingByChart                         // the chart's curves where they were read
	IcingBetweenPoints                   // at least this: between points that were read
)

// String returns the basis in words.
func (b IcingBasis) String() string {
	switch b {
	case IcingByChart:
		return "by the chart"
	case IcingBetweenPoints:
		return "at least, between points read from the chart"
	}
	return "by the aviation authorities' humidity limits"
}

// Dew points in °C between which the published fit of the chart's curves
// holds, and the points beyond that were published one by one.
const (
	chartFitFrom, chartFitTo = -6.0, 6.0
	// Samples of the outermost curve, dew point and temperature, given with
	// the fit.
	lightFarDew, lightFarLimit   = -13.9, -13.7
	lightNearDew, lightNearLimit = -9.2, 0.0
	// A published reading of the chart in warm humid air: moderate at cruise.
	humidDew, humidTemperature = 19.0, 26.0
	// icingReadingSpread is how far a curve read from a printed chart may be
	// off, in K; common practice, no source.
	icingReadingSpread = 1.0
	// rounding lets a dew point of 19 °C pass that was worked out from a
	// vapour pressure.
	rounding = 0.01
)

// icingFit holds the coefficients of the warm limits in °C as polynomials of
// the dew point in °C, in order of increasing power.
var icingFit = map[IcingZone][]float64{
	LightIcing:                {19.634, 1.688, -0.044},
	SeriousIcingSmallThrottle: {15.896, 1.916, -0.146, 0.011},
	ModerateIcingCruise:       {8.797, 2.878, -0.308, 0.024, -0.001},
	SeriousIcingAnyPower:      {4.955, 3.183, -0.550, 0.065, -0.004},
}

// IcingWarmLimit returns the temperature up to which the chart has the zone at
// a dew point, with the basis: by the chart for dew points of −6 °C to 6 °C
// (the outermost zone from −13.9 °C), between points for a limit that the zone
// reaches at least, up to a dew point of 19 °C. A limit below the dew point
// means that the zone does not occur there. Elsewhere, where the chart was not
// read, the temperature is invalid and the basis is [IcingByEnvelope].
//
// Between points means: the zones' warm edges bulge outwards, so the straight
// line between two points of an edge lies within its zone.
//
// Source: chart of the Canadian accident investigators after NRC Canada
// LR-536 (Gardner and Moon, 1970), which aviation authorities reprint; curves
// by the fit and the two samples published at aviation.stackexchange.com,
// answer 104145, whose coefficients are rounded (LR-536 itself was not seen);
// 26 °C with dew point 19 °C from a reading in a Canadian pilots' newsletter.
func IcingWarmLimit(zone IcingZone, dew quantity.Temperature) (quantity.Temperature, IcingBasis) {
	c, d := icingFit[zone], dew.Celsius()
	switch {
	case len(c) == 0:
	case d >= chartFitFrom && d <= chartFitTo:
		return quantity.Celsius(icingPolynomial(c, d)), IcingByChart
	case zone == LightIcing && d >= lightNearDew && d < chartFitFrom:
		return quantity.Celsius(onLine(d, lightNearDew, lightNearLimit, chartFitFrom, icingPolynomial(c, chartFitFrom))), IcingByChart
	case zone == LightIcing && d >= lightFarDew && d < lightNearDew:
		return quantity.Celsius(onLine(d, lightFarDew, lightFarLimit, lightNearDew, lightNearLimit)), IcingByChart
	case zone != SeriousIcingAnyPower && d > chartFitTo && d <= humidDew+rounding:
		end := icingPolynomial(c, chartFitTo)
		return quantity.Celsius(onLine(d, chartFitTo, end, humidDew, math.Max(end, humidTemperature))), IcingBetweenPoints
	}
	return quantity.Kelvin(math.NaN()), IcingByEnvelope
}

// icingSpread is the half width in K of what is not known of a warm limit: the
// reading, and twice the standard uncertainty that rounding six coefficients
// to 0.001 leaves (the fit was of fifth degree).
func icingSpread(d float64) float64 {
	const step = 0.001
	sum, power := 0.0, 1.0
	for range 6 {
		sum += power * power
		power *= d
	}
	return math.Hypot(icingReadingSpread, 2*step/math.Sqrt(12)*math.Sqrt(sum))
}

func icingPolynomial(c []float64, d float64) float64 {
	y := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		y = y*d + c[i]
	}
	return y
}

func onLine(x, x0, y0, x1, y1 float64) float64 { return y0 + (y1-y0)*(x-x0)/(x1-x0) }

// IcingReading is the chart read at one temperature and dew point.
type IcingReading struct {
	// Zone is the one by the curves, AtWorst the one if each limit is as far
	// off as it may be. Zone is IcingZoneNotRead where the chart was not read;
	// AtWorst may still be known there, beyond a limit that is a least one.
	Zone, AtWorst IcingZone
	Basis         IcingBasis
	// Limit is the warm limit of Zone, or of the outermost zone for air
	// outside; Spread is the half width of what is not known of it.
	Limit  quantity.Temperature
	Spread quantity.TemperatureDifference
}

// ReadIcingChart reads the chart for air of temperature t and a dew point.
//
// A dew point above the temperature, and values that are not valid, give an
// error that wraps [ErrOutOfRange]. Where the chart was not read the zone is
// IcingZoneNotRead and there is no error.
func ReadIcingChart(t, dew quantity.Temperature) (IcingReading, error) {
	r := IcingReading{Limit: quantity.Kelvin(math.NaN()), Spread: quantity.TemperatureDifference(math.NaN())}
	if !t.IsValid() {
		return r, rangeError("ReadIcingChart", "temperature", t.Kelvin(), 0, math.Inf(1), quantity.KindTemperature.Shown(), "")
	}
	if !dew.IsValid() || dew.Sub(t) > 0.05 {
		return r, rangeError("ReadIcingChart", "dew point", dew.Kelvin(), 0, t.Kelvin(), quantity.KindTemperature.Shown(), "the upper end is the air's temperature")
	}
	r.Spread = quantity.KelvinDifference(icingReadingSpread) // of the samples
	if d := dew.Celsius(); d >= chartFitFrom {
		r.Spread = quantity.KelvinDifference(icingSpread(math.Min(d, chartFitTo)))
	}
	for _, z := range []IcingZone{LightIcing, SeriousIcingSmallThrottle, ModerateIcingCruise, SeriousIcingAnyPower} {
		limit, basis := IcingWarmLimit(z, dew)
		if !limit.IsValid() || limit.Compare(dew) < 0 {
			continue
		}
		if z == LightIcing {
			r.Zone, r.AtWorst, r.Basis, r.Limit = NoIcingZone, NoIcingZone, basis, limit
		}
		if t.Compare(limit) <= 0 {
			r.Zone, r.Basis, r.Limit = z, basis, limit
		}
		if t.Compare(limit.Add(r.Spread)) <= 0 {
			r.AtWorst = z
		}
	}
	if r.Zone == NoIcingZone && r.Basis == IcingBetweenPoints {
		// Beyond a limit that the zone reaches at least, nothing was read.
		r.Zone, r.Basis, r.Limit = IcingZoneNotRead, IcingByEnvelope, quantity.Kelvin(math.NaN())
	}
	if r.AtWorst == NoIcingZone && r.Zone == IcingZoneNotRead {
		r.AtWorst = IcingZoneNotRead
	}
	return r, nil
}

// String returns the zone, what it rests on and its limit.
func (r IcingReading) String() string {
	switch {
	case !r.Limit.IsValid():
		return r.Zone.String()
	case r.Zone == NoIcingZone:
		return fmt.Sprintf("%v, which end at %v (± %.1f K)", r.Zone, r.Limit, r.Spread.Kelvins())
	}
	return fmt.Sprintf("%v up to %v (± %.1f K), %v", r.Zone, r.Limit, r.Spread.Kelvins(), r.Basis)
}
