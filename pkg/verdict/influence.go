package verdict

import (
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// WithoutRow says in a table what the change would be without one drive.
type WithoutRow struct {
	Drive             string
	Change, Low, High quantity.TemperatureDifference
	// Surprise is the probability that the others gave to a value at least as far
	// away as this drive's; Odd says that they did not expect it.
	Surprise float64 `frame:"chance if like the others"`
	Odd      bool

	units quantity.Preferred
}

// ReadIn returns the units in which the owner reads.
func (r WithoutRow) ReadIn() quantity.Preferred { return r.units }

// Without lists what the change of the primary kind of driving would be without
// each drive.
func (j Judgement) Without() []WithoutRow {
	var rows []WithoutRow
	for _, w := range j.Influence {
		rows = append(rows, WithoutRow{w.Drive, quantity.KelvinDifference(w.Delta), quantity.KelvinDifference(w.Low), quantity.KelvinDifference(w.High), w.Surprise, w.Odd, j.Units})
	}
	return rows
}
