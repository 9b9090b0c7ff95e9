package epoch

import (
	"math"
	"time"
)

// Days between the two systems in which workbooks count (ECMA-376 part 1, 18.17.4.1),
// and how near to a date beside them day numbers are that are of the other system.
const (
	daysApart = 1462
	nearby    = 3
)

// Years3 is from when on something else in the world says that day numbers may be of
// the other system.
const Years3 = 3 * 8766 * time.Hour

// SpreadsheetDay returns the day since 1970-01-01 of a day number since 1899-12-30.
func SpreadsheetDay(number float64) int64 { return int64(math.Floor(number)) - 25569 }

// Since1904 reports whether a day as the usual system counts, and a date that is known
// otherwise, are as far apart as the systems.
func Since1904(day, known int64) bool {
	off := known - day - daysApart
	return off >= -nearby && off <= nearby
}
