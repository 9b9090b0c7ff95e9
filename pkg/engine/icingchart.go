package engine

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/engine/internal/zones"
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
	if zone < LightIcing || zone > SeriousIcingAnyPower {
		return quantity.Kelvin(math.NaN()), IcingByEnvelope
	}
	limit, basis := zones.WarmLimit(zones.Light+zones.Zone(zone-LightIcing), dew.Celsius())
	return quantity.Celsius(limit), IcingByEnvelope + IcingBasis(basis-zones.NotRead)
}

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
	r.Spread = quantity.KelvinDifference(zones.Spread(dew.Celsius()))
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
func (r IcingReading) String() string { return r.In(quantity.Preferred{}) }

// In returns the same in the given units.
func (r IcingReading) In(units quantity.Preferred) string {
	if !r.Limit.IsValid() {
		return r.Zone.String()
	}
	limit := units.Say(quantity.KindTemperature, "%.1f", r.Limit.Kelvin())
	spread := units.Say(quantity.KindTemperatureDifference, "%.1f", r.Spread.Kelvins())
	if r.Zone == NoIcingZone {
		return fmt.Sprintf("%v, which end at %s (± %s)", r.Zone, limit, spread)
	}
	return fmt.Sprintf("%v up to %s (± %s), %v", r.Zone, limit, spread, r.Basis)
}
