package detect

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/grid"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
)

// tellSpoilt says that a column's numbers did not all stand there as numbers.
func (d *detector) tellSpoilt(c plan.Column, e grid.Evidence) {
	if c.Mangled {
		d.warnings.Add(estimate.Ambiguous, c.Name, fmt.Sprintf("a spreadsheet has turned some of its numbers into dates (%q): read as day and tenths, as the others have one decimal", e.FirstText))
	}
	if c.OtherMark {
		d.warnings.Add(estimate.Ambiguous, c.Name, fmt.Sprintf("some numbers have the other decimal mark (%q): both are read as decimal marks", e.FirstOther))
	}
	if c.Grouped {
		d.Note("columns", d.HeaderText(c.Number)+" with a mark between thousands", fmt.Sprintf("such as %q beside numbers below 1000", e.FirstText))
	}
}
