// Package grid finds out how a text file is divided into cells: the delimiter,
// the decimal mark, the header, and what the cells of each column look like. It
// does not ask what they mean.
package grid

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Grid is how a text file is divided into cells, and what they look like.
type Grid struct {
	Src      *source.Source
	Sample   *Sample
	Layout   layout.Layout
	Findings account.Detection

	Delimiter layout.Delimiter
	Delim     byte
	Decimal   byte
	Fields    int      // cells in a full row
	Least     int      // cells that nearly all rows have, where they end before the last columns; else 0
	First     int      // index in the sample's lines of the first row of values
	Damaged   []int    // indices of lines between the names and the first row that are neither
	Header    []string // names, one for each field; empty where none
	Units     []string // from a line of units, or nil
	Evidence  []Evidence
	inTimes   int      // how many cells of a row, from the first, are dates and times of day
	cells     [][]byte // buffer of CellsOf
}
