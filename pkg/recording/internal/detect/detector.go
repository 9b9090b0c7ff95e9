package detect

import (
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/dates"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/grid"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// detector finds out what the columns of a grid hold, step by step. Each step
// leaves what it found and says why.
type detector struct {
	*grid.Grid
	warnings table.Warnings
	columns  []plan.Column
	clock    plan.Clock
	dates    []dates.Seen // of the sample
	assumed  bool         // that elapsed times count seconds: nothing says so
	start    int64        // from when elapsed times count, seconds after 1970; 0 where nothing says
}

// isTimeColumn reports whether the column gives the time.
func (d *detector) isTimeColumn(n int) bool {
	c := d.clock
	return n == c.Stamp || n == c.Date || n == c.DateOnce || n == c.Clock || n == c.HalfDay || n == c.Value || n == c.Millis || n == c.ZoneAt || n == c.Week || n == c.Within || n == c.DayOfYear || slices.Contains(c.Parts[:], n)
}

func names(columns []*plan.Column) string {
	s := ""
	for i, c := range columns {
		if i > 0 {
			s += ", "
		}
		s += fmt.Sprintf("%q", c.Name)
	}
	return s
}
