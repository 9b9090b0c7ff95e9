package quantity

import "fmt"

// Preferred are the units in which a person wants to read results. A zero Unit
// is the usual one of its kind. Numbers are stored in SI units whatever they
// are.
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
// for the number, such as "%+.1f".
func (p Preferred) Say(k Kind, verb string, si float64) string {
	u := p.Of(k)
	return fmt.Sprintf(verb, u.FromSI(si)) + " " + u.Symbol()
}

// Span writes two SI values of the kind with one unit, "1.2 to 3.4 K".
func (p Preferred) Span(k Kind, verb string, low, high float64) string {
	u := p.Of(k)
	return fmt.Sprintf(verb+" to "+verb, u.FromSI(low), u.FromSI(high)) + " " + u.Symbol()
}

// Matching fills in what is not chosen beside what is: who reads temperatures
// in °F reads differences in °F, too.
func (p Preferred) Matching() Preferred {
	if p.Difference == (Unit{}) && p.Temperature == KindTemperature.Unit("°F") {
		p.Difference = KindTemperatureDifference.Unit("°F")
	}
	return p
}
