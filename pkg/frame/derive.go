package frame

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Minus returns the frame with one more column: a minus b, missing where one of
// them is. The difference of two temperatures is a temperature difference. The
// frame holds an error where a column does not exist, the two measure different
// things, or the name is taken.
func (f *Frame) Minus(name, a, b string) *Frame {
	x, err := f.number(a)
	if err != nil {
		return f.fail("Minus", err)
	}
	y, err := f.number(b)
	if err != nil {
		return f.fail("Minus", err)
	}
	if x.unit.Kind() != y.unit.Kind() {
		return f.fail("Minus", fmt.Errorf("%s is a %s and %s a %s", a, x.unit.Kind(), b, y.unit.Kind()))
	}
	v := make([]float64, f.rows)
	for i := range v {
		v[i] = x.num[i] - y.num[i]
	}
	return f.with("Minus", numbers(name, differenceUnit(x.unit), v))
}

// differenceUnit is the unit of a difference of two values in unit u.
func differenceUnit(u quantity.Unit) quantity.Unit {
	if u.Kind() != quantity.KindTemperature {
		return u
	}
	if u == u.Kind().Unit("°F") {
		return quantity.KindTemperatureDifference.Unit("°F")
	}
	return quantity.KindTemperatureDifference.Shown()
}

// Derive returns the frame with one more column, what value returns for each
// row in the given unit; NaN is missing. An ambiguous unit is written with its
// kind, "K, temperature difference"; "" is a plain number. The frame holds an
// error where value asks for what no column can give, the unit is unknown, or
// the name is taken.
func (f *Frame) Derive(name, unit string, value func(r Row) float64) *Frame {
	if f.err != nil {
		return f
	}
	u, _, err := unitOf(unit)
	if err != nil {
		return f.fail("Derive", err)
	}
	v := make([]float64, f.rows)
	r := newRow(f)
	for r.row = range v {
		v[r.row] = u.ToSI(value(r.Row()))
		if r.err != nil {
			return f.fail("Derive", r.err)
		}
	}
	return f.with("Derive", numbers(name, u, v))
}

// In returns the frame with a column shown in another unit: In("intake", "°F").
// A duration is also shown in "min:s". The values stay what they are. The frame
// holds an error where there is no such column or unit.
func (f *Frame) In(column, unit string) *Frame {
	c, err := f.column(column)
	if err == nil {
		c, err = c.in(unit)
	}
	if err != nil {
		return f.fail("In", err)
	}
	g := &Frame{rows: f.rows, notes: f.notes}
	for _, old := range f.columns {
		if old.name == column {
			old = c
		}
		g.columns = append(g.columns, old)
	}
	return g
}

// unitOf reads a unit as it stands behind the name of a column: "km/h", or with
// its kind where the spelling means several, "K, temperature difference". °C
// and °F alone are temperatures; assumed tells that the other reading was
// passed over.
func unitOf(text string) (u quantity.Unit, assumed bool, err error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return quantity.Unit{}, false, nil
	}
	symbol, kind, stated := strings.Cut(text, ",")
	symbol, kind = strings.TrimSpace(symbol), strings.TrimSpace(kind)
	if stated {
		for _, k := range quantity.Kinds() {
			if k.String() == kind {
				u, err := quantity.Lookup(k, symbol)
				return u, false, err
			}
		}
		return u, false, fmt.Errorf("%q: %q is no kind of quantity; there are %v", text, kind, quantity.Kinds())
	}
	found := quantity.FindUnits(symbol)
	temperature := quantity.KindTemperature
	switch {
	case len(found) == 0:
		return u, false, fmt.Errorf("%q is no unit that is known", text)
	case len(found) == 1:
		return found[0], false, nil
	case found[0] == temperature.Unit("°C") || found[0] == temperature.Unit("°F"):
		return found[0], true, nil
	}
	var choices []string
	for _, u := range found {
		choices = append(choices, fmt.Sprintf("%q", symbol+", "+u.Kind().String()))
	}
	return u, false, fmt.Errorf("%q is a unit of several kinds; write %s", text, strings.Join(choices, " or "))
}

// written is the opposite of unitOf.
func written(u quantity.Unit) string {
	s := u.Spelling()
	if s == "" && u.Kind() == quantity.KindNumber {
		return ""
	}
	if found := quantity.FindUnits(s); len(found) == 1 && found[0] == u {
		return s
	}
	return s + ", " + u.Kind().String()
}

func notOf(c *column, what string) error {
	return fmt.Errorf("column %q holds %s, not %s", c.name, c.kind, what)
}

// missingNote says how many values a step had to do without, nothing for none.
func missingNote(step string, c *column) []string {
	n := c.missing()
	if n == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s: %s of %s missing, of %d", step, count(n, "value"), c.name, c.len())}
}

var missing = math.NaN()
