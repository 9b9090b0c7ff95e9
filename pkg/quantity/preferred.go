package quantity

import (
	"fmt"
	"math"
	"strings"
)

// Preferred are the units in which a person wants to read results. A zero Unit
// is the usual one of its kind. Numbers are stored in SI units whatever they
// are. A campaign, a drive and what is found in it carry theirs, and whatever
// is written for a person is written by these methods.
type Preferred struct {
	Temperature, Difference, Speed, Pressure Unit
}

// Of returns the unit in which a quantity of the kind is to be read.
func (p Preferred) Of(k Kind) Unit {
	chosen := Unit{}
	switch k {
	case KindTemperature:
		chosen = p.Temperature
	case KindTemperatureDifference:
		chosen = p.Difference
	case KindSpeed:
		chosen = p.Speed
	case KindPressure:
		chosen = p.Pressure
	}
	if chosen == (Unit{}) {
		return k.Shown()
	}
	return chosen
}

// Say writes an SI value of the kind with its unit. verb is that of package fmt
// for the number, such as "%+.1f"; a NaN is "unknown".
func (p Preferred) Say(k Kind, verb string, si float64) string {
	if math.IsNaN(si) {
		return unknown
	}
	u := p.Of(k)
	return Numbers(verb, u.FromSI(si)) + " " + u.Symbol()
}

// Span writes two SI values of the kind with one unit, "1.2 to 3.4 K".
func (p Preferred) Span(k Kind, verb string, low, high float64) string {
	u := p.Of(k)
	return Numbers(verb+" to "+verb, u.FromSI(low), u.FromSI(high)) + " " + u.Symbol()
}

// Numbers writes numbers for a person, by a format of package fmt: with the minus
// sign (U+2212) in the place of a hyphen. Numbers that are read again by a program
// are not written by it.
func Numbers(format string, numbers ...float64) string {
	all := make([]any, len(numbers))
	for i, x := range numbers {
		all[i] = x
	}
	return strings.ReplaceAll(fmt.Sprintf(format, all...), "-", "−")
}

// Text writes a temperature, a difference, a speed or a pressure with one
// decimal and its unit, as their String methods do in the usual units; ok is
// false for every other value.
func (p Preferred) Text(v any) (text string, ok bool) {
	switch v := v.(type) {
	case Temperature:
		return p.Say(KindTemperature, "%.1f", v.Kelvin()), true
	case TemperatureDifference:
		return p.Say(KindTemperatureDifference, "%.1f", v.Kelvins()), true
	case Speed:
		return p.Say(KindSpeed, "%.1f", float64(v)), true
	case Pressure:
		if u := p.Of(KindPressure); u != KindPressure.Shown() {
			return Format(float64(v), u, pressureDigits), true
		}
		return v.String(), true
	}
	return "", false
}

// pressureDigits tell 0.01 inHg, 0.01 kPa and 0.1 mmHg.
const pressureDigits = 4

// Or returns p with what is not chosen taken from other.
func (p Preferred) Or(other Preferred) Preferred {
	fill := func(at *Unit, with Unit) {
		if *at == (Unit{}) {
			*at = with
		}
	}
	p = p.Matching()
	fill(&p.Temperature, other.Temperature)
	fill(&p.Difference, other.Difference)
	fill(&p.Speed, other.Speed)
	fill(&p.Pressure, other.Pressure)
	return p.Matching()
}

// Matching fills in what is not chosen beside what is: who reads temperatures
// in °F reads differences in °F, too.
func (p Preferred) Matching() Preferred {
	if p.Difference == (Unit{}) && p.Temperature == KindTemperature.Unit("°F") {
		p.Difference = KindTemperatureDifference.Unit("°F")
	}
	return p
}
