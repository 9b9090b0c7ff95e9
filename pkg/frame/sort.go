package frame

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// Sort returns the rows in ascending order of the columns, the first one
// deciding; equal rows keep their order and missing values stand last. Texts
// are in the order of their letters' code points. The frame holds an error
// where there is no such column.
func (f *Frame) Sort(columns ...string) *Frame { return f.sorted("Sort", 1, columns) }

// SortDown is Sort in descending order; missing values stand last here, too.
func (f *Frame) SortDown(columns ...string) *Frame { return f.sorted("SortDown", -1, columns) }

func (f *Frame) sorted(step string, direction int, names []string) *Frame {
	columns := make([]*vector.Column, len(names))
	for i, name := range names {
		var err error
		if columns[i], err = f.column(name); err != nil {
			return f.fail(step, err)
		}
	}
	rows := vector.UpTo(f.rows)
	slices.SortStableFunc(rows, func(a, b int) int {
		for _, c := range columns {
			if order := c.Compare(a, b, direction); order != 0 {
				return order
			}
		}
		return 0
	})
	return f.take(rows)
}
