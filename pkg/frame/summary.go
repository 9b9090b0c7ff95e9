package frame

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Summary is one number made of the rows of a group.
type Summary struct {
	what          string
	column, other string
	as, unit      string
	of            func(x []float64) float64
	// result gives the unit of the result; nil keeps that of the column.
	result func(quantity.Unit) quantity.Unit
	// sums says that values are added up, which means nothing for temperatures.
	sums bool
}

// In shows the summary in another unit, "°F" or "min".
func (s Summary) In(unit string) Summary {
	s.unit = unit
	return s
}

// As gives the summary's column a name; by itself it is "mean intake".
func (s Summary) As(name string) Summary {
	s.as = name
	return s
}

func (s Summary) name() string {
	switch {
	case s.as != "":
		return s.as
	case s.column == "":
		return s.what
	case s.other != "":
		return s.what + " of " + s.column + " and " + s.other
	}
	return s.what + " " + s.column
}

// Rows counts the rows of the group.
func Rows() Summary { return Summary{what: "rows"} }

// Count counts the present values.
func Count(column string) Summary {
	return Summary{what: "count of", column: column, of: func(x []float64) float64 { return float64(len(x)) }, result: asNumber}
}

// Mean is the arithmetic mean of the present values; missing where none is.
func Mean(column string) Summary { return Summary{what: "mean", column: column, of: vector.Mean} }

// Median is the median of the present values; missing where none is.
func Median(column string) Summary {
	return Summary{what: "median", column: column, of: func(x []float64) float64 { return series.Quantile(x, 0.5) }}
}

// Quantile is the q-quantile, 0 ≤ q ≤ 1, of the present values by linear
// interpolation of the order statistics (Hyndman and Fan 1996, type 7); missing
// where there is none, or for another q.
func Quantile(column string, q float64) Summary {
	return Summary{what: fmt.Sprintf("%g-quantile", q), column: column, of: func(x []float64) float64 { return series.Quantile(x, q) }}
}

// Least is the smallest present value; missing where none is.
func Least(column string) Summary {
	return Summary{what: "least", column: column, of: func(x []float64) float64 { return extreme(x, floats.Min) }}
}

// Most is the greatest present value; missing where none is.
func Most(column string) Summary {
	return Summary{what: "most", column: column, of: func(x []float64) float64 { return extreme(x, floats.Max) }}
}

// Sum adds up the present values; missing where none is. Temperatures can't be
// added up, their differences can.
func Sum(column string) Summary {
	return Summary{what: "sum of", column: column, sums: true, of: func(x []float64) float64 { return extreme(x, floats.Sum) }}
}

// Deviation is the sample standard deviation (n − 1) of the present values;
// missing for fewer than two. That of temperatures is a temperature difference.
func Deviation(column string) Summary {
	return Summary{what: "deviation of", column: column, result: vector.DifferenceUnit, of: func(x []float64) float64 {
		if len(x) < 2 {
			return math.NaN()
		}
		return stat.StdDev(x, nil)
	}}
}

// Correlation is Pearson's coefficient of two columns over the rows that have
// both; missing for fewer than two or where one column is constant.
func Correlation(a, b string) Summary { return Summary{what: "correlation", column: a, other: b} }

func asNumber(quantity.Unit) quantity.Unit { return quantity.Unit{} }

// bound is a summary together with the columns of a frame.
type bound struct {
	unit   quantity.Unit
	minSec bool
	value  func(rows []int) float64
	notes  []string
}

func (s Summary) bind(f *Frame) (bound, error) {
	if s.column == "" {
		return bound{value: func(rows []int) float64 { return float64(len(rows)) }}, f.err
	}
	c, err := f.number(s.column)
	if err != nil {
		return bound{}, err
	}
	b := bound{unit: c.Unit, minSec: c.MinSec, notes: vector.MissingNote(s.name(), c), value: func(rows []int) float64 { return s.of(vector.Present(c.Num, rows)) }}
	switch {
	case s.other != "":
		d, err := f.number(s.other)
		if err != nil {
			return bound{}, err
		}
		b.unit, b.minSec, b.value = quantity.Unit{}, false, func(rows []int) float64 { return correlation(c.Num, d.Num, rows) }
		b.notes = append(b.notes, vector.MissingNote(s.name(), d)...)
	case s.sums && c.Unit.Kind() == quantity.KindTemperature:
		return bound{}, fmt.Errorf("%s: temperatures can't be added up; take the mean, or the sum of a difference", s.name())
	case s.result != nil:
		b.unit = s.result(c.Unit)
		b.minSec = b.minSec && b.unit.Kind() == c.Unit.Kind()
	}
	if s.unit == "" {
		return b, nil
	}
	shown, err := (&vector.Column{Name: s.name(), Unit: b.unit}).In(s.unit)
	if err != nil {
		return bound{}, err
	}
	b.unit, b.minSec = shown.Unit, shown.MinSec
	return b, nil
}

func extreme(x []float64, of func([]float64) float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	return of(x)
}

func correlation(a, b []float64, rows []int) float64 {
	var x, y []float64
	for _, i := range rows {
		if !math.IsNaN(a[i]) && !math.IsNaN(b[i]) {
			x, y = append(x, a[i]), append(y, b[i])
		}
	}
	if len(x) < 2 {
		return math.NaN()
	}
	return stat.Correlation(x, y, nil)
}

// Correlations returns Pearson's coefficients of every two of the columns, one
// row and one column for each, named in the column "correlation". Each pair
// takes the rows that have both. The frame holds an error where there is no
// such column of numbers.
func (f *Frame) Correlations(columns ...string) *Frame {
	if f.err != nil {
		return f
	}
	numbers := make([]*vector.Column, len(columns))
	var notes []string
	for i, name := range columns {
		var err error
		if numbers[i], err = f.number(name); err != nil {
			return f.fail("Correlations", err)
		}
		notes = append(notes, vector.MissingNote("correlation", numbers[i])...)
	}
	rows := vector.UpTo(f.rows)
	result := (&Frame{notes: f.notes}).with("Correlations", vector.Texts("correlation", columns, nil), notes...)
	for _, a := range numbers {
		v := make([]float64, len(numbers))
		for i, b := range numbers {
			v[i] = correlation(b.Num, a.Num, rows)
		}
		result = result.with("Correlations", vector.Numbers(a.Name, quantity.Unit{}, v))
	}
	return result
}
