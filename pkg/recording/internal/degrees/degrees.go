// Package degrees knows in which units temperatures that carry none can be, by
// what a car and its surroundings are like.
package degrees

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/numbers"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
)

// SpanIn says between what temperatures lie if their numbers are in a unit.
func SpanIn(values []float64, u *unit.Unit) string {
	lo, hi := numbers.Quantiles(values)
	return fmt.Sprintf("%s: %.0f to %.0f °C", u.Name, unit.Celsius.FromSI(u.SI(lo)), unit.Celsius.FromSI(u.SI(hi)))
}

// Readings lists the units that temperatures without one may be in,
// the likeliest first: the one in which the coldest reading is nearest to
// ordinary air.
func Readings(values []float64) []account.Reading {
	lo, hi := numbers.Quantiles(values)
	units := []*unit.Unit{unit.Celsius, unit.Fahrenheit}
	if lo > 50 {
		units = []*unit.Unit{unit.Fahrenheit, unit.Celsius}
	}
	if Whole(values) && hi >= 130 {
		units = append(units, unit.TenthCelsius)
		if lo > 110 {
			units = []*unit.Unit{unit.TenthCelsius, unit.Celsius, unit.Fahrenheit}
		}
	}
	for _, u := range []*unit.Unit{unit.HundredthCelsius, unit.ThousandthCelsius} {
		if least := u.FromSI(unit.Celsius.SI(-40)); Whole(values) && lo > least && hi > u.FromSI(unit.Celsius.SI(25)) && hi < u.FromSI(unit.Celsius.SI(300)) {
			units = append([]*unit.Unit{u}, units...)
		}
	}
	if lo > 250 {
		units = append(units, unit.Kelvin)
	}
	var readings []account.Reading
	for _, u := range units {
		readings = append(readings, account.Reading{Meaning: SpanIn(values, u), Setting: fmt.Sprintf("temperature_unit = %q", u.Name)})
	}
	return readings
}

// Whole reports whether no number has a fraction.
func Whole(values []float64) bool {
	return !slices.ContainsFunc(values, func(v float64) bool { return v != math.Trunc(v) })
}

// Weigh decides by what a car and its surroundings can be. The
// coldest reading of a log lies near the outside air, −40 to 50 °C, and
// something in it usually gets warm. Common practice, no source. The unit is nil
// where the numbers leave it open. engineParameters says that the columns are named
// like those of an engine control unit.
func Weigh(values []float64, engineParameters bool) (*unit.Unit, string) {
	lo, hi := numbers.Quantiles(values)
	if lo > 250 && hi < 450 && !Whole(values) {
		return unit.Kelvin, fmt.Sprintf("%.0f to %.0f is air and coolant in kelvin only", lo, hi)
	}
	if engineParameters && hi < 130 {
		return unit.Celsius, "named like the parameters of SAE J1979, which counts them in °C"
	}
	if q := numbers.DigitalStep(values); q != "" {
		return unit.Celsius, "steps of " + q + ", as digital sensors write that count in °C"
	}
	asFahrenheit := unit.Celsius.FromSI(unit.Fahrenheit.SI(hi))
	switch {
	case lo > 50: // °F, tenths of °C, or °C in a bay that was hot from the start
		return nil, fmt.Sprintf("%.0f to %.0f", lo, hi)
	case lo < -40:
		if unit.Celsius.FromSI(unit.Fahrenheit.SI(lo)) > -60 && hi < 60 {
			return nil, fmt.Sprintf("%.0f to %.0f", lo, hi)
		}
		return unit.Celsius, fmt.Sprintf("%.0f to %.0f", lo, hi)
	case lo <= 45 && hi > 60 && hi <= 130:
		return unit.Celsius, fmt.Sprintf("%.0f to %.0f: as °F the hottest reading would be no more than %.0f °C", lo, hi, asFahrenheit)
	}
	return nil, fmt.Sprintf("%.0f to %.0f", lo, hi)
}
