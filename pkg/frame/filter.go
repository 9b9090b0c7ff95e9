package frame

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// Condition says which rows are meant. A row without the value that a
// condition asks for meets neither it nor its opposite.
type Condition struct {
	bind func(f *Frame) (test, error)
}

// test says of a row whether it is meant.
type test func(row int) truth

type truth int8

const (
	no truth = iota
	unknown
	yes
)

func truthOf(b bool) truth {
	if b {
		return yes
	}
	return no
}

// compare makes a condition on the numbers of a column.
func compare(column string, holds func(v float64, limits []float64) bool, limits ...string) Condition {
	return Condition{func(f *Frame) (test, error) {
		c, err := f.column(column)
		if err != nil {
			return nil, err
		}
		si := make([]float64, len(limits))
		for i, l := range limits {
			if si[i], err = c.Parse(l); err != nil {
				return nil, err
			}
		}
		return func(row int) truth {
			if v := c.Num[row]; !math.IsNaN(v) {
				return truthOf(holds(v, si))
			}
			return unknown
		}, nil
	}}
}

// Above holds where the column's number is greater than the limit, which is
// written with its unit: "50 °C", "30 mph", "5 min".
func Above(column, limit string) Condition {
	return compare(column, func(v float64, l []float64) bool { return v > l[0] }, limit)
}

// Below holds where the column's number is smaller than the limit, which is
// written with its unit.
func Below(column, limit string) Condition {
	return compare(column, func(v float64, l []float64) bool { return v < l[0] }, limit)
}

// Between holds where the column's number is from or greater, and smaller than
// to: a half-open span, both ends written with their unit.
func Between(column, from, to string) Condition {
	return compare(column, func(v float64, l []float64) bool { return v >= l[0] && v < l[1] }, from, to)
}

// Is holds where the column's text is one of the values, as they print: "open
// filters", or segment.Steady in a column of kinds of driving.
func Is(column string, values ...any) Condition {
	wanted := make([]string, len(values))
	for i, v := range values {
		wanted[i] = fmt.Sprint(v)
	}
	return Condition{func(f *Frame) (test, error) {
		c, err := f.column(column)
		if err != nil {
			return nil, err
		}
		if c.Kind != Text {
			return nil, fmt.Errorf("%w; use Above, Below or Between", vector.NotOf(c, "texts"))
		}
		for _, w := range wanted {
			if !slices.Contains(c.Levels, w) {
				return nil, fmt.Errorf("no row of column %q is %q; there are %q", column, w, c.Levels)
			}
		}
		return func(row int) truth {
			text, has := c.Text(row)
			if !has {
				return unknown
			}
			return truthOf(slices.Contains(wanted, text))
		}, nil
	}}
}

// Has holds where the column has a value.
func Has(column string) Condition {
	return Condition{func(f *Frame) (test, error) {
		c, err := f.column(column)
		if err != nil {
			return nil, err
		}
		return func(row int) truth { return truthOf(c.Has(row)) }, nil
	}}
}

// Not holds where the condition does not; a missing value meets neither.
func Not(c Condition) Condition {
	return Condition{func(f *Frame) (test, error) {
		t, err := c.bind(f)
		return func(row int) truth { return yes - t(row) }, err
	}}
}

// Any holds where at least one of the conditions does.
func Any(conditions ...Condition) Condition {
	return joined(conditions, func(a, b truth) truth { return max(a, b) }, no)
}

// All holds where every condition does.
func All(conditions ...Condition) Condition {
	return joined(conditions, func(a, b truth) truth { return min(a, b) }, yes)
}

// joined combines conditions by the logic of three values (Kleene).
func joined(conditions []Condition, combine func(a, b truth) truth, start truth) Condition {
	return Condition{func(f *Frame) (test, error) {
		tests := make([]test, len(conditions))
		for i, c := range conditions {
			var err error
			if tests[i], err = c.bind(f); err != nil {
				return nil, err
			}
		}
		return func(row int) truth {
			result := start
			for _, t := range tests {
				result = combine(result, t(row))
			}
			return result
		}, nil
	}}
}

// Filter returns the rows for which all conditions hold, in their order. Rows
// that could not be judged because a value is missing are left out and counted
// in the notes. The frame holds an error where a column does not exist, a limit
// has not its unit, or no row has a text that is asked for.
func (f *Frame) Filter(conditions ...Condition) *Frame {
	if f.err != nil {
		return f
	}
	holds, err := All(conditions...).bind(f)
	if err != nil {
		return f.fail("Filter", err)
	}
	var rows []int
	missing := 0
	for i := range f.rows {
		switch holds(i) {
		case yes:
			rows = append(rows, i)
		case unknown:
			missing++
		}
	}
	if missing == 0 {
		return f.take(rows)
	}
	return f.take(rows, fmt.Sprintf("Filter: %s left out because a value that was asked for is missing", vector.Count(missing, "row")))
}

// FilterFunc returns the rows for which keep is true, in their order. The frame
// holds an error where keep asks for a value that no column can give.
func (f *Frame) FilterFunc(keep func(r Row) bool) *Frame {
	if f.err != nil {
		return f
	}
	var rows []int
	r := newRow(f)
	for r.row = 0; r.row < f.rows; r.row++ {
		if keep(Row{r}) {
			rows = append(rows, r.row)
		}
		if r.err != nil {
			return f.fail("FilterFunc", r.err)
		}
	}
	return f.take(rows)
}
