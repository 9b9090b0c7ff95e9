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

// Divided reports whether numbers below a quotient, "T1/10", may be counts that the
// reader is to divide: whole ones, and in another unit than °C those that are no
// degrees. Others are degrees already, or of the first of ten probes.
func Divided(values []float64, stated *unit.Unit) bool {
	if len(values) == 0 || !Whole(values) {
		return false
	}
	_, high := numbers.Quantiles(values)
	return stated == nil || stated == unit.Celsius || high > stated.FromSI(unit.Celsius.SI(hottestWhole))
}

// coldestHottest in °C is what something in a car reaches on any drive (common
// practice, no source).
const coldestHottest = 15

// DoubtQuotient says what is doubtful about numbers below a quotient that are taken
// as they stand, "" for nothing: they may be what remains of degrees that were divided.
func DoubtQuotient(values []float64, stated *unit.Unit) string {
	if len(values) == 0 || stated == nil {
		return ""
	}
	if _, high := numbers.Quantiles(values); Whole(values) || unit.Celsius.FromSI(stated.SI(high)) < coldestHottest {
		return fmt.Sprintf("the header speaks of a quotient; the numbers are read as they stand, %s: see that they were not divided", SpanIn(values, stated))
	}
	return ""
}
