package engine

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine/internal/zones"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// IcingRisk orders the risk of ice in a carburettor.
type IcingRisk int

const (
	IcingUnlikely IcingRisk = iota
	IcingPossible
	IcingLikely
)

// String returns the risk in a word.
func (r IcingRisk) String() string {
	switch r {
	case IcingUnlikely:
		return "unlikely"
	case IcingPossible:
		return "possible"
	case IcingLikely:
		return "likely"
	}
	return "unknown"
}

// Temperature drop by evaporation and expansion at part throttle: usual, and
// the largest that is quoted for cautious use.
const (
	icingDrop      = 20.0 // K, UK CAA Safety Sense leaflet 14A: 20 K to 30 K
	icingDropLarge = 33.0 // K, of up to 39 K in US DOI SA-11-01
)

// Icing is the risk of carburettor ice with one intake air.
type Icing struct {
	Intake air.State
	Risk   IcingRisk
	// Reading is what the chart says of this air.
	Reading  IcingReading
	Humidity quantity.RelativeHumidity // at the intake's temperature
	DewPoint quantity.Temperature
	// Margin is how far the air is below the warm limit of its zone in K,
	// negative outside all zones, between bounds; unknown where the chart was
	// not read.
	Margin estimate.Estimate
	// Coldest is the temperature in the carburettor with the usual drop of
	// 20 K, ColdestCautious with a drop of 33 K.
	Coldest, ColdestCautious quantity.Temperature
	Reasons                  []string
	Cautions                 []string
	Warnings                 []estimate.Warning
	// Units are those of the texts, see [Icing.In].
	Units quantity.Preferred
}

// AircraftChart is the kind of warning that a rule was made for aircraft
// engines.
const AircraftChart estimate.Kind = "aircraft chart"

// AssessIcing returns the risk of carburettor ice for the air that the intake
// breathes. Humid outside air that is heated on its way keeps its vapour but
// loses relative humidity; make such a state with [air.State.Heated].
//
// The chart decides where it was read, see [ReadIcingChart], with its limits
// as warm as they may be: serious or moderate icing is likely, light icing
// possible. Elsewhere, and where they say more, the authorities' texts do:
//
//   - likely: −7 °C to 21 °C with a relative humidity of at least 80 %;
//   - possible: 25 % humidity or more where the chart was not read, up to
//     38 °C; with less, rare;
//   - else unlikely.
//
// Chart and texts are for light aircraft with float carburettors and ambient
// air; cars differ: a heated manifold helps, much driving at small throttle
// does not. Invalid states give an error that wraps [air.ErrOutOfRange].
//
// Source: [IcingWarmLimit] for the chart; FAA AC 91-51A and PHAK ch. 7 as
// quoted publicly (20 °F to 70 °F; RH ≥ 80 % high, possible to 100 °F); UK CAA
// Safety Sense leaflet 14A and US DOI SA-11-01 for the drop, and SA-11-01 for
// rare below 25 %.
func AssessIcing(intake air.State) (Icing, error) {
	return assessIcing(intake, quantity.Preferred{})
}

// In returns the same risk with its texts in the given units. Those of the zero
// value are the usual ones.
func (r Icing) In(units quantity.Preferred) Icing {
	again, err := assessIcing(r.Intake, units)
	if err != nil { // it was not assessed either
		r.Units = units
		return r
	}
	return again
}

// ReadIn returns the units in which the risk is read.
func (r Icing) ReadIn() quantity.Preferred { return r.Units }

func assessIcing(intake air.State, units quantity.Preferred) (Icing, error) {
	nan := quantity.Kelvin(math.NaN())
	r := Icing{Intake: intake, Units: units, Humidity: quantity.RelativeHumidity(math.NaN()), DewPoint: nan, Coldest: nan, ColdestCautious: nan,
		Margin: estimate.Unknown(icingMargin, kelvins, "the state of the air is not valid")}
	if err := intake.Check(); err != nil {
		return r, fmt.Errorf("engine.AssessIcing: %w", err)
	}
	r.Humidity, r.DewPoint = intake.RelativeHumidity(), intake.DewPoint()
	r.Coldest = intake.Temperature.Add(quantity.KelvinDifference(-icingDrop))
	r.ColdestCautious = intake.Temperature.Add(quantity.KelvinDifference(-icingDropLarge))
	r.Cautions = []string{
		"A chart for light aircraft, not for this car: cars differ. Idle and light throttle in cool damp weather ice first, full throttle last.",
		"Signs: a fading idle, stalling at a stop, a throttle that sticks. Stop safely; do not reach under the bonnet of a running engine.",
	}
	r.Warnings = []estimate.Warning{{Kind: AircraftChart, Subject: "carburettor icing", Text: "the chart was made for aircraft engines; a car's manifold heat and small throttle openings shift its limits by an unknown amount"}}
	if !r.DewPoint.IsValid() {
		r.Margin = estimate.Unknown(icingMargin, kelvins, "dry air has no dew point")
		r.because("the air is dry")
		return r, nil
	}
	var err error
	if r.Reading, err = ReadIcingChart(intake.Temperature, r.DewPoint); err != nil {
		return r, fmt.Errorf("engine.AssessIcing: %w", err)
	}
	r.byChart()
	r.byEnvelope()
	return r, nil
}

const icingMargin = "below the warm limit of the zone"

var kelvins = quantity.KindTemperatureDifference.SI()

// hot writes a temperature for a person.
func (r Icing) hot(verb string, t quantity.Temperature) string {
	return r.Units.Say(quantity.KindTemperature, verb, t.Kelvin())
}

// between writes two temperatures that are given in °C.
func (r Icing) between(low, high float64) string {
	return r.Units.Span(quantity.KindTemperature, "%.0f", quantity.Celsius(low).Kelvin(), quantity.Celsius(high).Kelvin())
}

func (r *Icing) because(format string, args ...any) {
	r.Reasons = append(r.Reasons, fmt.Sprintf(format, args...))
}

// byChart takes the risk from the chart where it was read.
func (r *Icing) byChart() {
	switch r.Reading.AtWorst {
	case SeriousIcingAnyPower, ModerateIcingCruise, SeriousIcingSmallThrottle:
		r.Risk = IcingLikely
	case LightIcing:
		r.Risk = IcingPossible
	}
	warn := func(kind estimate.Kind, format string, args ...any) {
		r.Warnings = append(r.Warnings, estimate.Warning{Kind: kind, Subject: "carburettor icing", Text: fmt.Sprintf(format, args...)})
	}
	if r.Reading.Zone == IcingZoneNotRead {
		r.Margin = estimate.Unknown(icingMargin, kelvins, "the chart was not read at this temperature and dew point")
		warn(estimate.OutsideRange, "the chart was not read at %s with dew point %s; humidity limits decide", r.hot("%.1f", r.Intake.Temperature), r.hot("%.1f", r.DewPoint))
	} else {
		m, spread := r.Reading.Limit.Sub(r.Intake.Temperature).Kelvins(), r.Reading.Spread.Kelvins()
		high := m + spread
		if r.Reading.Basis == IcingBetweenPoints {
			high = math.Inf(1)
			warn(estimate.OutsideRange, "beyond dew points of %s only single points of the chart were read; the risk is at least this", r.between(-6, 6))
		}
		r.Margin = estimate.Within(icingMargin, m, kelvins, m-spread, high)
		r.because("dew point %s: %s", r.hot("%.1f", r.DewPoint), r.Reading.In(r.Units))
	}
	if r.Reading.AtWorst != r.Reading.Zone {
		warn(estimate.Ambiguous, "this close to a limit it may be %v; the risk counts it so", r.Reading.AtWorst)
		r.because("perhaps %v", r.Reading.AtWorst)
	}
}

// byEnvelope raises the risk where the texts' limits say more than the chart.
func (r *Icing) byEnvelope() {
	t, h := r.Intake.Temperature.Celsius(), float64(r.Humidity)
	percent := 100 * h
	switch {
	case r.Risk == IcingLikely:
	case t >= -7 && t <= 21 && h >= 0.8:
		r.Risk = IcingLikely
		r.because("%s and %.0f %% lie within %s and at least 80 %%", r.hot("%.0f", r.Intake.Temperature), percent, r.between(-7, 21))
	case r.Reading.Zone != IcingZoneNotRead || r.Risk != IcingUnlikely:
	case t < zones.LightFarLimit:
		r.because("%s is colder than the chart's zones: the air holds too little water", r.hot("%.0f", r.Intake.Temperature))
	case r.DewPoint.Celsius() < zones.LightFarDew:
		r.because("a dew point of %s is drier than the chart's zones", r.hot("%.0f", r.DewPoint))
	case t > 38:
		r.because("%s is above %s, the warmest at which ice is reported", r.hot("%.0f", r.Intake.Temperature), r.hot("%.0f", quantity.Celsius(38)))
	case h < 0.25:
		r.because("relative humidity in the intake is %.0f %%; ice is rare below 25 %%", percent)
	default:
		r.Risk = IcingPossible
		r.because("%s and %.0f %%: the chart was not read here, and ice is reported up to %s", r.hot("%.0f", r.Intake.Temperature), percent, r.hot("%.0f", quantity.Celsius(38)))
	}
}

// String returns the risk and its reasons.
func (r Icing) String() string {
	return fmt.Sprintf("carburettor ice %v with intake air of %v: %s", r.Risk, r.Intake.In(r.Units), strings.Join(r.Reasons, "; "))
}

// IcingChange compares the risk of the present and the changed intake.
type IcingChange struct {
	Present, Changed Icing
	Advice           string
}

// CompareIcing returns the risk of both intakes in the same weather and what
// to do if it rises.
//
// Invalid states give an error that says which of the two.
func CompareIcing(present, changed air.State) (IcingChange, error) {
	return compareIcing(present, changed, quantity.Preferred{})
}

// In returns the same comparison with its texts in the given units.
func (x IcingChange) In(units quantity.Preferred) IcingChange {
	again, err := compareIcing(x.Present.Intake, x.Changed.Intake, units)
	if err != nil {
		return x
	}
	return again
}

func compareIcing(present, changed air.State, units quantity.Preferred) (IcingChange, error) {
	p, err := assessIcing(present, units)
	if err != nil {
		return IcingChange{Present: p}, fmt.Errorf("present intake: %w", err)
	}
	c, err := assessIcing(changed, units)
	if err != nil {
		return IcingChange{Present: p, Changed: c}, fmt.Errorf("changed intake: %w", err)
	}
	x := IcingChange{Present: p, Changed: c, Advice: "the change does not alter the risk"}
	switch {
	case c.Risk > p.Risk:
		x.Advice = fmt.Sprintf("the warm air under the bonnet has kept ice away: keep a flap or a second position that takes warm air in cool damp weather (thermostatic air cleaners of the period held the intake near %s, by workshop manuals of several makes)", p.between(38, 49))
	case c.Risk < p.Risk:
		x.Advice = "the change lowers the risk"
	case c.Reading.AtWorst > p.Reading.AtWorst && p.Reading.AtWorst != IcingZoneNotRead:
		x.Advice = fmt.Sprintf("the change leads deeper into the chart's zones, from %v to %v: keep a way to warm air", p.Reading.AtWorst, c.Reading.AtWorst)
	case c.Reading.AtWorst < p.Reading.AtWorst && c.Reading.AtWorst != IcingZoneNotRead:
		x.Advice = fmt.Sprintf("the change leads to a milder zone of the chart, from %v to %v", p.Reading.AtWorst, c.Reading.AtWorst)
	}
	return x, nil
}

// String returns both risks and the advice.
func (x IcingChange) String() string {
	return fmt.Sprintf("present: %v\nchanged: %v\n%s", x.Present, x.Changed, x.Advice)
}
