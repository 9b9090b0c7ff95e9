package plan

import (
	"math"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// TestAt1970 works out what each format's numbers are at 1970-01-01 from its own
// zero, with the calendar of package time; the Julian day of 2000-01-01 12:00 is
// 2451545 (Explanatory Supplement to the Astronomical Almanac, from memory).
func TestAt1970(t *testing.T) {
	unix := func(y int, m time.Month, d, h int) float64 {
		return float64(time.Date(y, m, d, h, 0, 0, 0, time.UTC).Unix())
	}
	for f, c := range map[layout.TimeFormat]struct{ number, at float64 }{
		layout.SpreadsheetDays:     {0, unix(1899, 12, 30, 0)},
		layout.SpreadsheetDays1904: {0, unix(1904, 1, 1, 0)}, // ECMA-376 part 1, 18.17.4.1
		layout.JulianDays:          {2451545, unix(2000, 1, 1, 12)},
		layout.ModifiedJulianDays:  {0, unix(1858, 11, 17, 0)},
		layout.YearZeroDays:        {1, unix(0, 1, 1, 0)},
		layout.YearOneDays:         {1, unix(1, 1, 1, 0)},
		layout.SecondsSince1904:    {0, unix(1904, 1, 1, 0)},
		layout.TicksSince1601:      {0, unix(1601, 1, 1, 0)},
		layout.TicksSinceYearOne:   {0, unix(1, 1, 1, 0)},
		layout.UnixSeconds:         {0, 0},
	} {
		k := Clock{Format: f, Factor: TimeFactors[f]}
		if got := k.Seconds(c.number); math.Abs(got-c.at) > 1e-4 {
			t.Errorf("%s: %v is %v s after 1970, want %v", f, c.number, got, c.at)
		}
	}
	for f := range at1970 {
		if TimeFactors[f] == 0 {
			t.Errorf("%s has no factor", f)
		}
	}
}
