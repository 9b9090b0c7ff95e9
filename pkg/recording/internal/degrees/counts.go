package degrees

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/numbers"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
)

// hottestWhole in °C is above what air, coolant and oil reach in a car: whole numbers
// beyond it, below a header with a factor, are counts (common practice, no source).
const hottestWhole = 130

// Counts tells the unit of numbers below a header that speaks of so many counts to a
// degree. Whole numbers that can't be degrees are counts; for others it returns the
// readings to ask about, since the header may speak of what was done before. stated
// is the unit in the header, given the layout's, both nil for none. It returns
// neither where the header names another unit than °C.
func Counts(values []float64, counts float64, stated, given *unit.Unit, exhaust bool) (*unit.Unit, []account.Reading) {
	part := unit.PartOfCelsius(counts)
	switch {
	case stated != nil && stated != unit.Celsius:
		return nil, nil
	case given != nil:
		return given, nil
	case len(values) == 0:
		return part, nil
	}
	if _, high := numbers.Quantiles(values); stated != nil && Whole(values) && high > hottestWhole && !exhaust {
		return part, nil
	}
	units := []*unit.Unit{part, unit.Celsius}
	if stated == nil {
		units = append(units, unit.Fahrenheit)
	}
	var readings []account.Reading
	for _, u := range units {
		readings = append(readings, account.Reading{Meaning: SpanIn(values, u), Setting: fmt.Sprintf("temperature_unit = %q", u.Name)})
	}
	return nil, readings
}
