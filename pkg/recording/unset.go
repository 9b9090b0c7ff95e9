package recording

import (
	"fmt"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
)

// A clock that was never set, or lost its battery, begins at midnight of a first of
// January, or in a year before loggers were common; one that counted over, years
// behind what wrote the file. Common practice, no source.
const (
	firstYear   = 2004
	sinceNew    = 10 * time.Minute
	intoTheNext = 366 * 24 * time.Hour
)

// warnOfUnset says so where the device's clock was probably never set. changed is when
// the file was written, zero where that is not known. A receiver's dates are its own
// affair, see package nmea.
func warnOfUnset(r *Recording, changed time.Time) {
	if !r.Dated || r.Format == NMEA {
		return
	}
	begin := r.Start.Format(time.DateTime)
	midnight := time.Date(r.Start.Year(), time.January, 1, 0, 0, 0, 0, r.Start.Location())
	text := ""
	switch {
	case r.Start.Year() < firstYear || r.Start.Sub(midnight) < sinceNew:
		text = fmt.Sprintf("it begins at %s: the device's clock was probably never set; its times count from some start, and the date is none", begin)
	case !changed.IsZero() && r.Start.Sub(changed) > intoTheNext:
		text = fmt.Sprintf("it begins at %s, long after the file was written (%s): the device's clock was wrong", begin, changed.UTC().Format(time.DateOnly))
	default:
		return
	}
	r.Warnings = append(r.Warnings, estimate.Warning{Kind: account.ClockUnset, Text: text})
}
