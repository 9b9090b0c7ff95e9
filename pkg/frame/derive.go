package frame

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
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
	if x.Unit.Kind() != y.Unit.Kind() {
		return f.fail("Minus", fmt.Errorf("%s is a %s and %s a %s", a, x.Unit.Kind(), b, y.Unit.Kind()))
	}
	v := make([]float64, f.rows)
	for i := range v {
		v[i] = x.Num[i] - y.Num[i]
	}
	return f.with("Minus", vector.Numbers(name, vector.DifferenceUnit(x.Unit), v))
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
	u, _, err := vector.UnitOf(unit)
	if err != nil {
		return f.fail("Derive", err)
	}
	v := make([]float64, f.rows)
	r := newRow(f)
	for r.row = range v {
		v[r.row] = u.ToSI(value(Row{r}))
		if r.err != nil {
			return f.fail("Derive", r.err)
		}
	}
	return f.with("Derive", vector.Numbers(name, u, v))
}

// In returns the frame with a column shown in another unit: In("intake", "°F").
// A duration is also shown in "min:s". The values stay what they are. The frame
// holds an error where there is no such column or unit.
func (f *Frame) In(column, unit string) *Frame {
	c, err := f.column(column)
	if err == nil {
		c, err = c.In(unit)
	}
	if err != nil {
		return f.fail("In", err)
	}
	g := &Frame{rows: f.rows, notes: f.notes}
	for _, old := range f.columns {
		if old.Name == column {
			old = c
		}
		g.columns = append(g.columns, old)
	}
	return g
}
