package table

import (
	"sort"
)

// LineMap gives the line number of each row: runs of rows on lines that follow
// one another.
type LineMap struct{ row, line []int }

// Add says that the given row stands on the given line. Rows come in order.
func (m *LineMap) Add(row, line int) {
	if n := len(m.row); n > 0 && line-m.line[n-1] == row-m.row[n-1] {
		return
	}
	m.row = append(m.row, row)
	m.line = append(m.line, line)
}

// Of returns the line number of a row.
func (m *LineMap) Of(row int) int {
	i := sort.SearchInts(m.row, row+1) - 1
	if i < 0 {
		return 0
	}
	return m.line[i] + row - m.row[i]
}
