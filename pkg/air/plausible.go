package air

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// PressureStatement says how an air pressure was stated.
type PressureStatement int

// How pressures are stated.
const (
	AtStation         PressureStatement = iota // absolute, at the car: a barometer on the spot
	ReducedToSeaLevel                          // QNH, as weather reports and airfields give it
)

// String returns the statement in words.
func (s PressureStatement) String() string {
	if s == ReducedToSeaLevel {
		return "reduced to sea level"
	}
	return "at the car"
}

// Kinds of warnings about stated weather, each a question to the person.
const (
	PressureDoubtful estimate.Kind = "pressure doubtful"
	HumidityDoubtful estimate.Kind = "humidity doubtful"
	AltitudeDoubtful estimate.Kind = "altitude doubtful" // one that is not the drive's own
)

const (
	// weatherSpread is how far the sea-level pressure of a day may be from the
	// standard atmosphere's before it is asked about: about three to four times
	// the usual spread of 8 hPa to 10 hPa in temperate latitudes (common
	// practice, no source). It is 3 % of the pressure.
	weatherSpread = 30 * quantity.Hectopascal
	// weatherUncertainty is the standard uncertainty of a day's pressure of
	// which only the altitude is known (common practice, no source).
	weatherUncertainty = 10 * quantity.Hectopascal
	// Limits of humidity beyond which it is asked about. Dew points above
	// 30 °C are met at a few hot coasts only, humidity below 5 % in deserts
	// (common practice, no source).
	dampest = 30.0 // °C of dew point
	driest  = 0.05
	// mistaken is how often people take a sea-level pressure for one at the car,
	// or the other way round, before anything else is known: a judgement.
	mistaken = 0.1
)

// PressureReading is another way to read a stated pressure that would be
// plausible.
type PressureReading struct {
	As PressureStatement
	// Unit is that in which the same number is plausible.
	Unit quantity.Unit
	// Station is the pressure at the car by this reading.
	Station quantity.Pressure
}

// PressureQuestion compares a stated pressure with the altitude.
type PressureQuestion struct {
	Stated   quantity.Pressure
	As       PressureStatement
	Altitude quantity.Length
	// Station is what the pressure at the car must be near, between bounds.
	Station estimate.Estimate
	// AtCar is the pressure at the car if the statement is right.
	AtCar quantity.Pressure
	// Plausible is true if AtCar lies between the bounds.
	Plausible bool
	// Unsure is the standard uncertainty that a plausible statement leaves, since
	// the same number stated the other way would be plausible, too: low down, where
	// the two hardly differ. 0 where the other way is not plausible.
	Unsure quantity.Pressure
	// Meant are the readings that would be plausible, where it is not.
	Meant []PressureReading
	// Warnings hold the question, of kind PressureDoubtful; empty where the
	// statement is plausible.
	Warnings []estimate.Warning
}

// AskPressure tells whether a pressure is plausible at altitude h above sea
// level that is known to ± uncertainty (half width; a GPS median is good to
// 25 m).
//
// Station pressure must be near that of the standard atmosphere at the
// altitude, with 30 hPa for the weather at sea level. A sea-level pressure
// given as station pressure is 12 hPa too high per 100 m, so below about 300 m
// that mistake hides in the weather: there the question can't be asked, and
// Unsure says what it may cost, by Bayes' rule: one statement in ten is
// mistaken, and sea-level pressures spread by 10 hPa about the standard's.
//
// It fails, wrapping [ErrOutOfRange], for pressures that no formula takes (10
// kPa to 120 kPa, QNH of 870 hPa to 1090 hPa), altitudes outside −430 m to
// 6000 m and uncertainties outside 0 to 1000 m.
func AskPressure(stated quantity.Pressure, as PressureStatement, h, uncertainty quantity.Length) (PressureQuestion, error) {
	q := PressureQuestion{Stated: stated, As: as, Altitude: h, AtCar: quantity.Pressure(math.NaN())}
	low, high, err := stationBounds(h, uncertainty)
	if err != nil {
		q.Station = estimate.Unknown(stationName, quantity.KindPressure.Shown(), err.Error())
		return q, err
	}
	standard, err := StandardAtGeometric(h)
	if err != nil {
		return q, err
	}
	q.Station = estimate.Within(stationName, float64(standard.Pressure), quantity.KindPressure.Shown(), float64(low), float64(high))
	if q.AtCar, err = atCar(stated, as, h); err != nil {
		return q, err
	}
	if q.Plausible = q.AtCar >= low && q.AtCar <= high; q.Plausible {
		q.Unsure = q.otherWay(low, high)
		return q, nil
	}
	q.Meant = otherReadings(stated, as, h, low, high)
	q.Warnings = []estimate.Warning{{Kind: PressureDoubtful, Subject: "pressure", Text: q.ask(quantity.Preferred{})}}
	return q, nil
}

// otherWay returns what the other statement of the number leaves unsure.
func (q PressureQuestion) otherWay(low, high quantity.Pressure) quantity.Pressure {
	meant := ReducedToSeaLevel
	if q.As == ReducedToSeaLevel {
		meant = AtStation
	}
	other, ok := plausible(q.Stated, meant, q.Altitude, low, high)
	if !ok {
		return 0
	}
	// How far the day's sea-level pressure is from the standard's by a reading,
	// in its standard deviations; the ratio to the standard atmosphere at the
	// altitude is that at sea level.
	weather := func(p quantity.Pressure) float64 {
		off := float64(p)/q.Station.Value - 1
		return off * float64(quantity.StandardAtmosphere) / float64(weatherUncertainty)
	}
	as, otherwise := weather(q.AtCar), weather(other)
	likelier := mistaken / (1 - mistaken) * math.Exp((as*as-otherwise*otherwise)/2)
	return quantity.Pressure(math.Sqrt(likelier/(1+likelier)) * math.Abs(float64(other-q.AtCar)))
}

const stationName = "pressure at the car by its altitude"

// stationBounds returns what the station pressure lies between.
func stationBounds(h, uncertainty quantity.Length) (low, high quantity.Pressure, err error) {
	if !(uncertainty >= 0 && uncertainty <= 1000) {
		return 0, 0, quantity.OutOfRange("air.AskPressure", "uncertainty of the altitude", float64(uncertainty), 0, 1000, quantity.KindLength.SI(), "")
	}
	if err := altitudeError("AskPressure", h); err != nil {
		return 0, 0, err
	}
	low, err = StationPressure(quantity.StandardAtmosphere-weatherSpread, min(h+uncertainty, 6000))
	if err != nil {
		return 0, 0, err
	}
	high, err = StationPressure(quantity.StandardAtmosphere+weatherSpread, max(h-uncertainty, -430))
	return low, high, err
}

func atCar(p quantity.Pressure, as PressureStatement, h quantity.Length) (quantity.Pressure, error) {
	if as == ReducedToSeaLevel {
		return StationPressure(p, h)
	}
	if !pressureOK(float64(p)) {
		return quantity.Pressure(math.NaN()), pressureError("AskPressure", float64(p), minPressure, maxPressure)
	}
	return p, nil
}

// plausible returns the pressure at the car by a statement, and whether there is
// one that lies within the bounds.
func plausible(p quantity.Pressure, as PressureStatement, h quantity.Length, low, high quantity.Pressure) (quantity.Pressure, bool) {
	p, err := atCar(p, as, h)
	return p, err == nil && p >= low && p <= high
}

// otherReadings returns the readings of the number that lie within the bounds:
// the other statement, and each statement in another unit.
func otherReadings(stated quantity.Pressure, as PressureStatement, h quantity.Length, low, high quantity.Pressure) []PressureReading {
	shown := quantity.KindPressure.Shown()
	number := shown.FromSI(float64(stated))
	var all []PressureReading
	for _, u := range append([]quantity.Unit{shown}, quantity.Plausible(quantity.KindPressure, number)...) {
		for _, s := range []PressureStatement{AtStation, ReducedToSeaLevel} {
			if u == shown && (s == as || len(all) > 0) {
				continue
			}
			if p, ok := plausible(quantity.Pressure(u.ToSI(number)), s, h, low, high); ok {
				all = append(all, PressureReading{As: s, Unit: u, Station: p})
			}
		}
	}
	return all
}

func (q PressureQuestion) ask(units quantity.Preferred) string {
	verb := "%.0f"
	if units.Of(quantity.KindPressure) == quantity.KindPressure.Unit("inHg") {
		verb = "%.2f" // as finely as people read it
	}
	stated, _ := units.Text(q.Stated)
	text := fmt.Sprintf("%s, stated as %v, does not fit an altitude of %.0f m, where the pressure is near %s (%s)",
		stated, q.As, q.Altitude.Metres(), units.Say(quantity.KindPressure, verb, q.Station.Value), units.Span(quantity.KindPressure, verb, q.Station.Interval.Low, q.Station.Interval.High))
	var meant []string
	for _, m := range q.Meant {
		meant = append(meant, fmt.Sprintf("%s, %v (%s at the car)", quantity.Format(m.Unit.ToSI(quantity.KindPressure.Shown().FromSI(float64(q.Stated))), m.Unit, 6), m.As, units.Say(quantity.KindPressure, verb, float64(m.Station))))
	}
	if len(meant) > 0 {
		return text + "; was it " + strings.Join(meant, ", or ") + "?"
	}
	return text + "; is the altitude right, and the pressure?"
}

// In asks in the given units; empty where the pressure fits.
func (q PressureQuestion) In(units quantity.Preferred) string {
	if q.Plausible {
		return ""
	}
	return q.ask(units)
}

// String says whether the pressure fits the altitude.
func (q PressureQuestion) String() string {
	if q.Plausible {
		return fmt.Sprintf("%v, stated as %v, fits %.0f m", q.Stated, q.As, q.Altitude.Metres())
	}
	return q.ask(quantity.Preferred{})
}

// PressureFromAltitude returns the pressure at the car in Pa at altitude h
// with its uncertainty at 95 %, where nothing else is known: the standard
// atmosphere's, with 10 hPa for the day's weather and the standard uncertainty
// of the altitude. It fails, wrapping [ErrOutOfRange], for altitudes outside
// −430 m to 6000 m and uncertainties outside 0 to 1000 m.
func PressureFromAltitude(h, uncertainty quantity.Length) (estimate.Estimate, error) {
	unit := quantity.KindPressure.Shown()
	if _, _, err := stationBounds(h, uncertainty); err != nil {
		return estimate.Unknown(stationName, unit, err.Error()), err
	}
	s, err := StandardAtGeometric(h)
	if err != nil {
		return estimate.Unknown(stationName, unit, err.Error()), err
	}
	const gravity = float64(quantity.StandardGravity)
	return estimate.New(stationName, float64(s.Pressure), unit, 0.95, estimate.Propagated,
		estimate.Contribution{Source: estimate.Source{Kind: estimate.Barometer, ID: "the day's weather, not known"}, Effect: float64(weatherUncertainty)},
		estimate.Contribution{Source: estimate.Source{Kind: estimate.OtherSource, ID: "altitude"}, Effect: -gravity * float64(s.Density) * float64(uncertainty)})
}

// AskHumidity returns questions, of kind HumidityDoubtful, about outside air
// of temperature t with relative humidity h: a humidity that belongs to
// another temperature gives a dew point that no outside air has, one that was
// written as a fraction gives nearly dry air. A humidity outside 0 to 1 and a
// temperature outside −40 °C to 150 °C are errors that wrap [ErrOutOfRange].
func AskHumidity(t quantity.Temperature, h quantity.RelativeHumidity) ([]estimate.Warning, error) {
	return AskHumidityIn(quantity.Preferred{}, t, h)
}

// AskHumidityIn is [AskHumidity] with texts in the given units. Errors are the
// same.
func AskHumidityIn(units quantity.Preferred, t quantity.Temperature, h quantity.RelativeHumidity) ([]estimate.Warning, error) {
	if !temperatureOK(t.Kelvin()) {
		return nil, temperatureError("AskHumidity", t.Kelvin(), minTemperature, maxTemperature)
	}
	if !humidityOK(float64(h)) {
		return nil, humidityError("AskHumidity", float64(h))
	}
	ask := func(format string, args ...any) []estimate.Warning {
		return []estimate.Warning{{Kind: HumidityDoubtful, Subject: "humidity", Text: fmt.Sprintf(format, args...)}}
	}
	if float64(h) < driest {
		return ask("%.2g %% is drier than outside air but in deserts; was it %.2g as a share, %.0f %%?", h.PercentHumidity(), h.PercentHumidity(), 100*h.PercentHumidity()), nil
	}
	dew, err := DewPoint(t, h)
	if err != nil {
		return nil, err
	}
	if dew.Celsius() > dampest {
		return ask("%s with %v has a dew point of %s, which outside air hardly ever has; does the humidity belong to another temperature?", units.Say(quantity.KindTemperature, "%.1f", t.Kelvin()), h, units.Say(quantity.KindTemperature, "%.1f", dew.Kelvin())), nil
	}
	return nil, nil
}
