package engine

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/air"
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
	Intake   air.State
	Risk     IcingRisk
	Humidity quantity.RelativeHumidity // at the intake's temperature
	DewPoint quantity.Temperature
	// Coldest is the temperature in the carburettor with the usual drop of
	// 20 K, ColdestCautious with a drop of 33 K.
	Coldest, ColdestCautious quantity.Temperature
	Reasons                  []string
	Cautions                 []string
}

// AssessIcing returns the risk of carburettor ice for the air that the intake
// breathes. Humid outside air that is heated on its way keeps its vapour but
// loses relative humidity; make such a state with [air.State.Heated].
//
//   - likely: −7 °C to 21 °C with a relative humidity of at least 80 %;
//   - possible: the air less 20 K is at or below 0 °C, its dew point above
//     that, and humidity at least 50 %; also with a drop of 33 K, up to 38 °C;
//   - else unlikely. Below −7 °C the air holds too little water.
//
// These are envelopes for light aircraft with float carburettors, made for
// ambient air that goes straight in; a car's hot-spotted manifold is usually
// better off. Invalid states give an error that wraps [air.ErrOutOfRange].
//
// Source: FAA AC 91-51A and PHAK ch. 7 as quoted publicly (20 °F to 70 °F;
// RH ≥ 80 % high, possible to 100 °F at RH ≥ 50 %); UK CAA Safety Sense leaflet 14A and US DOI
// SA-11-01 for the drop.
func AssessIcing(intake air.State) (Icing, error) {
	nan := quantity.Kelvin(math.NaN())
	r := Icing{Intake: intake, Humidity: quantity.RelativeHumidity(math.NaN()), DewPoint: nan, Coldest: nan, ColdestCautious: nan}
	if err := intake.Check(); err != nil {
		return r, fmt.Errorf("engine.AssessIcing: %w", err)
	}
	r.Humidity, r.DewPoint = intake.RelativeHumidity(), intake.DewPoint()
	r.Coldest = intake.Temperature.Add(quantity.KelvinDifference(-icingDrop))
	r.ColdestCautious = intake.Temperature.Add(quantity.KelvinDifference(-icingDropLarge))
	t, h := intake.Temperature.Celsius(), float64(r.Humidity)
	wetAt := func(cold quantity.Temperature) bool {
		return cold.Celsius() <= 0 && r.DewPoint.Compare(cold) > 0 && r.DewPoint.IsValid()
	}
	reason := func(format string, args ...any) { r.Reasons = append(r.Reasons, fmt.Sprintf(format, args...)) }
	switch {
	case t < -7:
		reason("%.0f °C is below −7 °C: the air holds too little water", t)
	case t <= 21 && h >= 0.8:
		r.Risk = IcingLikely
		reason("%.0f °C and %.0f %% lie within −7 °C to 21 °C and at least 80 %%", t, 100*h)
	case h < 0.5:
		reason("relative humidity in the intake is %.0f %%, below 50 %%", 100*h)
	case wetAt(r.Coldest):
		r.Risk = IcingPossible
		reason("20 K of cooling in the carburettor reach %v, at or below freezing and below the dew point, %v", r.Coldest, r.DewPoint)
	case t <= 38 && wetAt(r.ColdestCautious):
		r.Risk = IcingPossible
		reason("33 K of cooling, the cautious figure, reach %v, below the dew point, %v", r.ColdestCautious, r.DewPoint)
	default:
		reason("33 K of cooling in the carburettor leave it at %v, above freezing", r.ColdestCautious)
	}
	r.Cautions = []string{
		"Envelopes for light aircraft, not for this car: idle and light throttle in cool damp weather ice first, full throttle last.",
		"Signs: a fading idle, stalling at a stop, a throttle that sticks. Stop safely; do not reach under the bonnet of a running engine.",
	}
	return r, nil
}

// String returns the risk and its reasons.
func (r Icing) String() string {
	return fmt.Sprintf("carburettor ice %v with intake air of %v: %s", r.Risk, r.Intake, strings.Join(r.Reasons, "; "))
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
	p, err := AssessIcing(present)
	if err != nil {
		return IcingChange{Present: p}, fmt.Errorf("present intake: %w", err)
	}
	c, err := AssessIcing(changed)
	if err != nil {
		return IcingChange{Present: p, Changed: c}, fmt.Errorf("changed intake: %w", err)
	}
	x := IcingChange{Present: p, Changed: c, Advice: "the change does not alter the risk"}
	switch {
	case c.Risk > p.Risk:
		x.Advice = "the warm air under the bonnet has kept ice away: keep a flap or a second position that takes warm air in cool damp weather (period practice holds the intake near 25 °C to 40 °C; no source)"
	case c.Risk < p.Risk:
		x.Advice = "the change lowers the risk"
	}
	return x, nil
}

// String returns both risks and the advice.
func (x IcingChange) String() string {
	return fmt.Sprintf("present: %v\nchanged: %v\n%s", x.Present, x.Changed, x.Advice)
}
