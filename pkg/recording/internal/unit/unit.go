// Package unit knows the units that a file's numbers can be in: those of the
// table in quantity, and one form of positions that only files have.
package unit

import (
	"math"
	"strings"
	"sync"
	"unicode/utf8"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Unit is a unit that a file's numbers can be in. Each exists once, so that
// pointers can be compared.
type Unit struct {
	quantity.Unit
	// Name is what a layout calls it; empty for numbers as they stand.
	Name string
	// minutes marks positions written as degrees and minutes, ddmm.mmmm.
	minutes bool
	// parts is how many of the file's counts make a degree Celsius; 0 where the
	// numbers are degrees.
	parts float64
	// moved says that SI differs by an addition alone, of offset.
	moved  bool
	offset float64
	// difference is the unit of differences: 1 °C is 1 K then.
	difference quantity.Unit
}

// Difference returns a difference of two numbers of the file in SI units.
func (u *Unit) Difference(v float64) float64 {
	if u.parts > 0 {
		v /= u.parts
	}
	return u.difference.ToSI(v)
}

// FromSI returns an SI value as a number of the file.
func (u *Unit) FromSI(v float64) float64 {
	if u.parts > 0 {
		return u.parts * u.Unit.FromSI(v)
	}
	return u.Unit.FromSI(v)
}

// SI returns a number of the file in SI units.
func (u *Unit) SI(v float64) float64 {
	switch {
	case u.moved && u.offset == 0:
		return v // −0 stays what it is
	case u.moved:
		return v + u.offset
	case u.parts > 0:
		return u.ToSI(v / u.parts)
	case u.minutes:
		d := math.Trunc(v / 100)
		return u.ToSI(d + (v-100*d)/60)
	}
	return u.ToSI(v)
}

// kinds of quantity that files hold, in the order in which a spelling is tried:
// "g" is an acceleration here, "%" a share unless the column holds a humidity.
var kinds = []quantity.Kind{
	quantity.KindTemperature, quantity.KindSpeed, quantity.KindLength, quantity.KindAngle, quantity.KindPressure,
	quantity.KindShare, quantity.KindRelativeHumidity, quantity.KindRotationalSpeed, quantity.KindVoltage,
	quantity.KindPower, quantity.KindAcceleration, quantity.KindDuration,
}

// known has each unit of these kinds once.
var known = func() map[quantity.Unit]*Unit {
	all := map[quantity.Unit]*Unit{}
	for _, k := range kinds {
		for _, q := range k.Units() {
			u := &Unit{Unit: q, Name: q.Symbol(), difference: q}
			if k == quantity.KindTemperature {
				u.difference = quantity.KindTemperatureDifference.Unit(q.Symbol())
			}
			var factor float64
			factor, u.offset = quantity.Scale(q, k.SI())
			u.moved = factor == 1
			all[q] = u
		}
	}
	all[quantity.KindRelativeHumidity.Unit("fraction")].Name = "fraction"
	return all
}()

var bareShare = quantity.KindShare.SI()

// of returns the unit of a kind that is spelled so.
func of(k quantity.Kind, spelling string) *Unit { return known[k.Unit(spelling)] }

// Units that formats or the trade prescribe.
var (
	Celsius    = of(quantity.KindTemperature, "°C")
	Fahrenheit = of(quantity.KindTemperature, "°F")
	Kelvin     = of(quantity.KindTemperature, "K")
	Degree     = of(quantity.KindAngle, "°")
	MetrePerS  = of(quantity.KindSpeed, "m/s")
	KmPerHour  = of(quantity.KindSpeed, "km/h")
	MilesPerH  = of(quantity.KindSpeed, "mph")
	Knot       = of(quantity.KindSpeed, "kn")
	Metre      = of(quantity.KindLength, "m")
	Kilometre  = of(quantity.KindLength, "km")
	HectoPa    = of(quantity.KindPressure, "hPa")
	KiloPa     = of(quantity.KindPressure, "kPa")
	Pascal     = of(quantity.KindPressure, "Pa")
	Percent    = of(quantity.KindRelativeHumidity, "%")
	Fraction   = of(quantity.KindRelativeHumidity, "fraction")
	Rpm        = of(quantity.KindRotationalSpeed, "rpm")
	Volt       = of(quantity.KindVoltage, "V")
	Watt       = of(quantity.KindPower, "W")
	MetrePerS2 = of(quantity.KindAcceleration, "m/s²")
	// TenMillionths of a degree are how receivers count positions.
	TenMillionths = of(quantity.KindAngle, "1e-7°")
	// Millionths are how older maps on phones count them.
	Millionths = of(quantity.KindAngle, "1e-6°")
	// DegreeMinutes are positions as NMEA 0183 writes them, 4630.25 for 46° 30.25'.
	DegreeMinutes = &Unit{Unit: quantity.KindAngle.Unit("°"), Name: "ddmm.mmmm", minutes: true}
	// TenthCelsius and the others are counts of 0.1, 0.01 and 0.001 °C, as
	// converters without a decimal mark write temperatures.
	TenthCelsius      = partsOfCelsius("0.1 °C", 10)
	HundredthCelsius  = partsOfCelsius("0.01 °C", 100)
	ThousandthCelsius = partsOfCelsius("0.001 °C", 1000)
	// Raw is for numbers as they stand.
	Raw = &Unit{moved: true}
)

// spellings remembers what was looked up: cells repeat their units row by row.
var spellings = struct {
	sync.RWMutex
	unit map[string]*Unit
}{unit: map[string]*Unit{}}

// maxSpellings bounds it, since any text may be asked for.
const maxSpellings = 4096

// LookUp finds the unit that a file writes as s.
func LookUp(s string) (*Unit, bool) {
	const longest = 24 // letters; no spelling has as many
	if len(s) > 4*longest || !strings.ContainsFunc(s, marksUnit) {
		return nil, false
	}
	spellings.RLock()
	u, seen := spellings.unit[s]
	spellings.RUnlock()
	if !seen {
		u = find(s)
		spellings.Lock()
		if len(spellings.unit) < maxSpellings {
			spellings.unit[strings.Clone(s)] = u
		}
		spellings.Unlock()
	}
	return u, u != nil
}

// marksUnit reports whether a unit can be spelled with r: none is of digits, spaces
// and signs alone, as most cells of a log are.
func marksUnit(r rune) bool {
	return r|0x20 >= 'a' && r|0x20 <= 'z' || r == '%' || r >= utf8.RuneSelf
}

// oneWay spells tenths in one way; singleSigns are of one sign in other scripts'
// fonts. Both are made once: a reader asks for thousands of cells.
var (
	oneWay      = strings.NewReplacer(" ", "", ",", ".", "×", "x", "*", "x")
	singleSigns = strings.NewReplacer("℃", "°C", "℉", "°F")
)

func partsOfCelsius(name string, parts float64) *Unit {
	return &Unit{Unit: quantity.KindTemperature.Unit("°C"), Name: name, parts: parts, difference: quantity.KindTemperatureDifference.Unit("°C")}
}

// Parts returns how many of the file's counts make a degree Celsius; 0 where the
// numbers are of the unit itself.
func (u *Unit) Parts() float64 { return u.parts }

// PartOfCelsius returns the unit of which so many make a degree Celsius, nil where
// none does.
func PartOfCelsius(parts float64) *Unit {
	for _, k := range partMarks {
		if k.unit.parts == parts {
			return k.unit
		}
	}
	return nil
}

// partMarks spell parts of a degree Celsius, before or behind it.
var partMarks = []struct {
	unit  *Unit
	marks []string
}{
	{ThousandthCelsius, []string{"0.001", "1/1000", "x1000", "1000x", "/1000", "milli", "m"}},
	{HundredthCelsius, []string{"0.01", "1/100", "x100", "100x", "/100", "hundredthsof", "hundredth", "hundertstel"}},
	{TenthCelsius, []string{"0.1", "1/10", "x10", "10x", "/10", "tenthsof", "tenth", "zehntel"}},
}

// partOfCelsius returns the unit that s spells where it is a part of a degree
// Celsius: "0.1 °C", "1/100 °C", "°C/10", "°C x10", "m°C"; else nil.
func partOfCelsius(s string) *Unit {
	if !strings.ContainsAny(s, "cC") {
		return nil // without a look at each mark: most cells are no unit
	}
	s = oneWay.Replace(strings.ToLower(strings.TrimSpace(s)))
	for _, k := range partMarks {
		for _, mark := range k.marks {
			rest, cut := strings.CutPrefix(s, mark)
			if !cut {
				rest, cut = strings.CutSuffix(s, mark)
			}
			switch {
			case !cut:
			case rest == "°c", rest == "degc", rest == "celsius", rest == "c" && mark != "m":
				return k.unit
			}
		}
	}
	return nil
}

func find(s string) *Unit {
	if strings.EqualFold(strings.TrimSpace(s), DegreeMinutes.Name) {
		return DegreeMinutes
	}
	if s == "mC" {
		return ThousandthCelsius
	}
	s = singleSigns.Replace(s)
	if u := partOfCelsius(s); u != nil {
		return u
	}
	if strings.IndexAny(s, "·⋅*") == 0 {
		return nil // the rest of a damaged number rather than a unit
	}
	all := quantity.FindUnits(s, kinds...)
	for _, k := range kinds {
		for _, q := range all {
			if q.Kind() == k && q != bareShare { // "fraction" is one of saturation here
				return known[q]
			}
		}
	}
	return nil
}
