package delimited

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// gatherer puts blocks together.
type gatherer struct {
	t     *table.Table
	p     *plan.Plan
	lines int // before the current block
	// foreign is the line of the header with other names that the rows stand
	// under, 0 where they stand under the file's own.
	foreign int
}

// before returns the last value of a column before row at of the block.
func (g *gatherer) before(b *block, column, at int) float64 {
	for i := at - 1; i >= 0; i-- {
		if v := b.values[column][i]; !math.IsNaN(v) {
			return v
		}
	}
	all := g.t.Columns[column].Values
	for i := len(all) - 1; i >= 0 && i > len(all)-100; i-- {
		if !math.IsNaN(all[i]) {
			return all[i]
		}
	}
	return math.NaN()
}
