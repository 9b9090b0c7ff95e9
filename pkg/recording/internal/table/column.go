package table

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Head is what is known of a column before its first value.
type Head struct {
	Number  int // from 1; 0 for a derived column
	Name    string
	Content layout.Content
	Unit    *unit.Unit
	Found   string // unit as the file has it
	Reason  string // why unit
}

// Column is one column of values in SI units.
type Column struct {
	Head
	Values  []float64
	Tallies Tallies
	// Own holds the rows that the column was really read in, where the others
	// only repeat it; nil means all.
	Own     []int
	Derived bool
}

// FirstMissing returns the first row without a value.
func (c *Column) FirstMissing() int {
	for i, v := range c.Values {
		if math.IsNaN(v) {
			return i
		}
	}
	return 0
}

// Present counts the values of a column.
func (c *Column) Present() int {
	n := 0
	for _, v := range c.Values {
		if !math.IsNaN(v) {
			n++
		}
	}
	return n
}
