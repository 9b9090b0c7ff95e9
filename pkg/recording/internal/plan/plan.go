// Package plan is what is needed to read the rows of a text file, and the
// parser that reads them by it. It knows nothing of how the plan was found.
package plan

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// Plan is all that is needed to read the rows of a text file. It is shared by
// the goroutines that do so and does not change.
type Plan struct {
	Delim, Decimal byte
	Fields         int
	First          int             // number of lines before the first row
	Damaged        []int           // which of those are damaged rows, from 0
	Header         map[string]bool // those lines, to know them when they return
	Names          []string        // of the columns, cleaned
	TimeAt         int             // number of the time column, where it has a name
	Clock          Clock
	Columns        []Column
	Sentinels      map[string]bool
	Least          int  // rows may end behind this many cells; 0 where all must be full
	FullRows       bool // cells are empty only seldom, and at the ends of rows
}

// Column is what is to be read from one column of the file.
type Column struct {
	table.Head
	UnitAt int // number of the column that holds its unit, or 0
	SignAt int // number of the column that holds N, S, E or W, or 0
	// Longest is the length beyond which a number is two that lost what stood
	// between them.
	Longest int
	// Mangled and Grouped allow numbers that stand as day and month, or with a
	// mark between thousands.
	Mangled, Grouped bool
	// OtherMark allows numbers with the other decimal mark.
	OtherMark bool
	// Low and High, in the file's unit, are where values stop being values.
	Low, High *float64
}
