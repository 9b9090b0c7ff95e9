package frame

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// Row is one row, for a function of the user's own. It is valid only during
// the call.
type Row struct{ at *cursor }

// cursor stands at a row and remembers the first thing that went wrong, and
// the columns that were asked for, so that a unit is looked up once.
type cursor struct {
	frame *Frame
	row   int
	err   error
	asked map[[2]string]*vector.Column
}

func newRow(f *Frame) *cursor { return &cursor{frame: f, asked: map[[2]string]*vector.Column{}} }

// In returns the column's number in a unit, such as r.In("speed", "mph"); NaN
// where it is missing. The frame that the row belongs to holds an error where
// there is no such column of numbers or unit.
func (r Row) In(column, unit string) float64 {
	key := [2]string{column, unit}
	c, known := r.at.asked[key]
	if !known {
		var err error
		if c, err = r.at.frame.number(column); err == nil {
			c, err = c.In(unit)
		}
		if err != nil {
			r.fail(err)
			return math.NaN()
		}
		r.at.asked[key] = c
	}
	return c.Unit.FromSI(c.Num[r.at.row])
}

// Text returns the column's text, "" where it is missing. The frame that the
// row belongs to holds an error where there is no such column of texts.
func (r Row) Text(column string) string {
	c, err := r.at.frame.column(column)
	if err != nil {
		r.fail(err)
		return ""
	}
	if c.Kind != Text {
		r.fail(vector.NotOf(c, "texts"))
		return ""
	}
	text, _ := c.Text(r.at.row)
	return text
}

// Has reports whether the column has a value in this row.
func (r Row) Has(column string) bool {
	c, err := r.at.frame.column(column)
	if err != nil {
		r.fail(err)
		return false
	}
	return c.Has(r.at.row)
}

func (r Row) fail(err error) {
	if r.at.err == nil {
		r.at.err = err
	}
}
