// Package dates knows dates as files write them: on which day each is, and in what
// order day, month and year stand in all of them.
package dates

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Seen is a date of the file as written, with the line of its first
// appearance in a row.
type Seen struct {
	Parts   parse.DateParts
	Line    int
	Written string
}

// Days returns the day in an order, counted from 1970-01-01; ok is false where there
// is none.
func (s Seen) Days(o layout.DateOrder) (int64, bool) {
	y, m, d, ok := s.Parts.Civil(o)
	return parse.DaysSinceEpoch(y, m, d), ok
}

// Append adds the date of a row, if it is another than the last.
func Append(dates []Seen, cell []byte, line int) []Seen {
	if cell == nil || (len(dates) > 0 && dates[len(dates)-1].Written == string(cell)) {
		return dates
	}
	p, n, ok := parse.SplitDate(cell)
	if !ok || n != len(cell) || !parse.AnyOrder(p) {
		return dates
	}
	return append(dates, Seen{p, line, string(cell)})
}

// SameIn reports whether the date is the same day in all of the orders: a year
// of four digits says where it is.
func (s Seen) SameIn(orders []layout.DateOrder) bool {
	first, ok := s.Days(orders[0])
	return ok && !slices.ContainsFunc(orders[1:], func(o layout.DateOrder) bool {
		other, ok := s.Days(o)
		return !ok || other != first
	})
}
