package quantity

import (
	"fmt"
	"math"
	"strconv"
)

// Unit is a unit of one kind of quantity. Units are comparable; the zero value
// is the unit one of a plain number. All units come from one table, see
// [Kind.Units], [Lookup] and [FindUnits].
type Unit struct {
	kind   Kind
	symbol string
	// A value x in the unit is (x − shift)·factor/per + offset in SI; factor
	// and per are 1 where they are 0. Two numbers for the ratio, so that 1.8
	// is divided by where the scale is defined so.
	factor, per, shift, offset float64
}

// Symbol returns the unit's symbol as it is shown, such as "km/h"; "1" for
// numbers and fractions.
func (u Unit) Symbol() string {
	if u.bare() {
		return "1"
	}
	return u.symbol
}

// Spelling returns how the unit is written to a file, so that [Lookup] and
// [FindUnits] find it again: its symbol, "fraction" for a fraction, and nothing
// for a plain number.
func (u Unit) Spelling() string {
	if u.bare() && u.kind != KindNumber {
		return fraction
	}
	return u.symbol
}

// bare tells that values in this unit are written as numbers alone.
func (u Unit) bare() bool { return u.symbol == "" }

// String returns the symbol.
func (u Unit) String() string { return u.Symbol() }

// Kind returns the kind of quantity that the unit measures.
func (u Unit) Kind() Kind { return u.kind }

func (u Unit) ratio() (factor, per float64) {
	factor, per = u.factor, u.per
	if factor == 0 {
		factor = 1
	}
	if per == 0 {
		per = 1
	}
	return factor, per
}

// ToSI returns the SI value of x in this unit: kelvin for x °C.
func (u Unit) ToSI(x float64) float64 {
	x -= u.shift
	if u.factor != 0 {
		x *= u.factor
	}
	if u.per != 0 {
		x /= u.per
	}
	return x + u.offset
}

// FromSI returns what the SI value si is in this unit.
func (u Unit) FromSI(si float64) float64 {
	si -= u.offset
	if u.per != 0 {
		si *= u.per
	}
	if u.factor != 0 {
		si /= u.factor
	}
	return si + u.shift
}

// Scale returns how a value in unit from is shown in unit to, both of one
// kind: factor·x + offset. From °C to °F that is 1.8 and 32.
func Scale(from, to Unit) (factor, offset float64) {
	f, fper := from.ratio()
	t, tper := to.ratio()
	factor = f * tper / (fper * t)
	offset = (from.offset-to.offset)*tper/t - from.shift*factor + to.shift
	return factor, offset
}

// Format writes the SI value si in unit u with so many significant digits,
// trailing zeros left out: Format(355.15, °C, 5) is "82 °C". Plain numbers and
// fractions carry no symbol, and an angle's ° stands close, as in the SI
// brochure, 9th edition, 5.4.3.
func Format(si float64, u Unit, digits int) string { return u.text(u.FromSI(si), digits) }

// text writes x, which is in this unit.
func (u Unit) text(x float64, digits int) string {
	if math.IsNaN(x) {
		return unknown
	}
	return significant(x, digits) + u.suffix()
}

// unknown is how a number that is none is written: a unit behind it says nothing.
const unknown = "unknown"

// text writes a number by a format, and one that is none in a word.
func text(format string, x float64) string {
	if math.IsNaN(x) {
		return unknown
	}
	return fmt.Sprintf(format, x)
}

// suffix is what stands behind a number in this unit.
func (u Unit) suffix() string {
	switch {
	case u.bare():
		return ""
	case u.kind == KindAngle && u.factor == float64(Degree):
		return u.symbol
	}
	return " " + u.symbol
}

// significant writes x with so many significant digits, without an exponent
// where a person would write none.
func significant(x float64, digits int) string {
	s := strconv.FormatFloat(x, 'g', max(1, digits), 64)
	rounded, err := strconv.ParseFloat(s, 64)
	if a := math.Abs(rounded); err != nil || a != 0 && (a < 1e-4 || a >= 1e9) {
		return s
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}
