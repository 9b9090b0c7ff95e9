// Package frame holds drives as one tidy table to explore: a row for each
// second of each drive, a column for each thing that is known of it, with its
// unit. Rows are filtered, grouped, summarised, joined, resampled and drawn by
// the names of columns.
//
//	f := frame.Of(drives, frame.DefaultOptions()).Minus("rise", "intake", "ambient")
//	f.Filter(frame.Above("engine-bay", "50 °C")).Group("drive").Summarise(frame.Sum("duration").In("min"))
//	f.Scatter("speed", "rise", "configuration")
//
// Numbers are held in SI units and shown in the column's own; a limit is
// written with its unit ("50 °C", "30 mph"), another unit is asked for by its
// name ([Frame.In]). A missing value is missing: it is counted and named below
// the table, never a zero, and no comparison holds for it.
//
// No method changes its frame; each returns a new one, which may share memory.
// A step that can't be done returns a frame that holds the error and no rows;
// the steps after it pass that on, the table shows it, and [Frame.Err],
// [Frame.Result] and everything that leaves the package (pictures, files,
// slices) return it.
package frame

import (
	"fmt"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Frame is a table of columns of equal length. The zero value has none.
type Frame struct {
	columns []*vector.Column
	rows    int
	notes   []string
	err     error
}

// Column describes one column.
type Column struct {
	Name string
	Type Type
	// Unit is the one that numbers are shown in; the zero Unit for others.
	Unit quantity.Unit
	// Missing is how many rows have no value.
	Missing int
}

// Err returns the error of the first step on the way to this frame that failed,
// nil where none did.
func (f *Frame) Err() error { return f.err }

// Result returns the frame and what [Frame.Err] returns, for the notebook's
// Must. The error is that of the first step that failed.
func (f *Frame) Result() (*Frame, error) { return f, f.err }

// Len returns the number of rows.
func (f *Frame) Len() int { return f.rows }

// Columns describes the columns, in order.
func (f *Frame) Columns() []Column {
	all := make([]Column, len(f.columns))
	for i, c := range f.columns {
		all[i] = Column{Name: c.Name, Type: c.Kind, Unit: c.Unit, Missing: c.Missing()}
	}
	return all
}

// Names lists the names of the columns, in order.
func (f *Frame) Names() []string {
	all := make([]string, len(f.columns))
	for i, c := range f.columns {
		all[i] = c.Name
	}
	return all
}

// Missing returns how many rows have no value in the column, in Len rows. It
// fails where there is no such column.
func (f *Frame) Missing(column string) (int, error) {
	c, err := f.column(column)
	if err != nil {
		return 0, err
	}
	return c.Missing(), nil
}

// Notes say what was assumed, left out or bridged on the way to this frame.
func (f *Frame) Notes() []string { return slices.Clone(f.notes) }

// Select returns the frame with these columns alone, in this order. The frame
// holds an error where there is no such column or one is named twice.
func (f *Frame) Select(columns ...string) *Frame {
	g := &Frame{rows: f.rows, notes: f.notes, err: f.err}
	for _, name := range columns {
		c, err := f.column(name)
		if err == nil {
			err = g.add(c)
		}
		if err != nil {
			return f.fail("Select", err)
		}
	}
	return g
}

// Rename returns the frame with another name for a column. The frame holds an
// error where there is no such column or the new name is taken.
func (f *Frame) Rename(column, name string) *Frame {
	g := &Frame{rows: f.rows, notes: f.notes, err: f.err}
	if _, err := f.column(column); err != nil {
		return f.fail("Rename", err)
	}
	for _, c := range f.columns {
		if c.Name == column {
			c = c.Named(name)
		}
		if err := g.add(c); err != nil {
			return f.fail("Rename", err)
		}
	}
	return g
}

// Head returns the first n rows, or all where there are fewer.
func (f *Frame) Head(n int) *Frame {
	return f.take(vector.UpTo(max(0, min(n, f.rows))))
}

// column finds a column by its name.
func (f *Frame) column(name string) (*vector.Column, error) {
	if f.err != nil {
		return nil, f.err
	}
	for _, c := range f.columns {
		if c.Name == name {
			return c, nil
		}
	}
	return nil, f.unknown(name)
}

// number finds a column of numbers.
func (f *Frame) number(name string) (*vector.Column, error) {
	c, err := f.column(name)
	if err == nil && c.Kind != Number {
		err = vector.NotOf(c, "numbers")
	}
	return c, err
}

// add puts a column behind the others.
func (f *Frame) add(c *vector.Column) error {
	switch {
	case c.Name == "":
		return fmt.Errorf("a column needs a name")
	case slices.Contains(f.Names(), c.Name):
		return fmt.Errorf("there is a column %q already; choose another name", c.Name)
	case len(f.columns) > 0 && c.Len() != f.rows:
		return fmt.Errorf("column %q has %d values, the others have %d", c.Name, c.Len(), f.rows)
	}
	f.columns, f.rows = append(f.columns, c), c.Len()
	return nil
}

// with returns the frame with one more column.
func (f *Frame) with(step string, c *vector.Column, notes ...string) *Frame {
	if f.err != nil {
		return f
	}
	g := &Frame{columns: slices.Clone(f.columns), rows: f.rows, notes: slices.Concat(f.notes, notes)}
	if err := g.add(c); err != nil {
		return f.fail(step, err)
	}
	return g
}

// take returns the rows with the given numbers; a negative one is a row of
// missing values.
func (f *Frame) take(rows []int, notes ...string) *Frame {
	g := &Frame{rows: len(rows), notes: slices.Concat(f.notes, notes), err: f.err}
	for _, c := range f.columns {
		g.columns = append(g.columns, c.Take(rows))
	}
	return g
}

// fail returns a frame that holds the error of a step, or an earlier one.
func (f *Frame) fail(step string, err error) *Frame {
	if f.err != nil {
		return f
	}
	return &Frame{err: fmt.Errorf("frame, %s: %w", step, err), notes: f.notes}
}

// failed makes an error of a frame that has no step before it.
func failed(step string, err error) *Frame { return (&Frame{}).fail(step, err) }

// Floats returns the numbers of a column in a unit, NaN where missing; "" is
// the unit that the column is shown in. It fails where there is no such column
// of numbers or it has no such unit.
func (f *Frame) Floats(column, unit string) ([]float64, error) {
	c, err := f.number(column)
	if err != nil {
		return nil, err
	}
	if unit != "" {
		if c, err = c.In(unit); err != nil {
			return nil, err
		}
	}
	return c.Shown(), nil
}

// Texts returns the texts of a column, "" where missing. It fails where there
// is no such column or it holds no texts.
func (f *Frame) Texts(column string) ([]string, error) {
	c, err := f.column(column)
	if err == nil && c.Kind != Text {
		err = vector.NotOf(c, "texts")
	}
	if err != nil {
		return nil, err
	}
	all := make([]string, f.rows)
	for i := range all {
		all[i], _ = c.Text(i)
	}
	return all, nil
}

// Times returns the instants of a column, the zero time where missing. It fails
// where there is no such column or it holds no instants.
func (f *Frame) Times(column string) ([]time.Time, error) {
	c, err := f.column(column)
	if err == nil && c.Kind != Instant {
		err = vector.NotOf(c, "instants")
	}
	if err != nil {
		return nil, err
	}
	return slices.Clone(c.At), nil
}
