package plan

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Clock says where a row's time is and how to read it. Column numbers
// count from 1; 0 is none.
type Clock struct {
	Format                             layout.TimeFormat
	Order                              layout.DateOrder
	Stamp, Date, Clock, HalfDay, Value int
	// Millis holds the milliseconds of the time before it, ZoneAt its offset
	// from UTC, Parts year, month, day, hour, minute and second.
	Millis, ZoneAt int
	Parts          [6]int
	// Week and Within hold a week of the GPS and the time within it; DayOfYear
	// stands for month and day beside a year among Parts.
	Week, Within, DayOfYear int
	// DateOnce holds the date of all rows in one of them, or in few.
	DateOnce int
	// Factor brings a number to seconds.
	Factor float64
	// Base is what row times count from, in seconds since 1970-01-01 00:00 of
	// the stamps' own clock; 0 for times without a date.
	Base int64
	// Compact says that times of day are written as hhmmss.
	Compact bool
	// WholeMillis says that what stands behind the seconds counts milliseconds
	// and was not filled up to three digits.
	WholeMillis bool
	// Unpadded says that minutes and seconds are written without zeros before
	// them.
	Unpadded bool
	// UTC says that stamps without a zone are UTC.
	UTC bool
}

// Numeric reports whether the time is a number.
func (c *Clock) Numeric() bool { return c.Value > 0 }

// TimeFactors bring the numbers of a format to seconds; listed for formats
// that are numbers.
var TimeFactors = map[layout.TimeFormat]float64{
	layout.ElapsedSeconds: seconds("s"), layout.ElapsedMilliseconds: seconds("ms"), layout.ElapsedMinutes: seconds("min"), layout.ElapsedHours: seconds("h"),
	layout.ElapsedDays: seconds("d"), layout.ElapsedMicroseconds: seconds("µs"), layout.ElapsedNanoseconds: 1e-9,
	layout.UnixSeconds: seconds("s"), layout.UnixMilliseconds: seconds("ms"), layout.UnixMicroseconds: seconds("µs"), layout.UnixNanoseconds: 1e-9,
	layout.SpreadsheetDays: seconds("d"), layout.SpreadsheetDays1904: seconds("d"), layout.JulianDays: seconds("d"), layout.ModifiedJulianDays: seconds("d"), layout.YearZeroDays: seconds("d"), layout.YearOneDays: seconds("d"),
	layout.SecondsSince1904: 1, layout.SecondsSince2001: 1, layout.SecondsSince1980: 1, layout.TicksSince1601: 1e-7, layout.TicksSinceYearOne: 1e-7,
}

// at1970 is what the numbers of a format are at 1970-01-01 00:00, where they do
// not count from then: the days, or what else it counts, of the Gregorian calendar
// from the format's own zero.
var at1970 = map[layout.TimeFormat]float64{
	layout.SpreadsheetDays: 25569, layout.SpreadsheetDays1904: 24107, layout.JulianDays: 2440587.5, layout.ModifiedJulianDays: 40587, layout.YearZeroDays: 719529, layout.YearOneDays: 719163,
	layout.SecondsSince2001: -11323 * 86400, layout.SecondsSince1980: -(weekZero - 18), // leap seconds since 2017
	layout.SecondsSince1904: 24107 * 86400, layout.TicksSince1601: 134774 * 864e9, layout.TicksSinceYearOne: 719162 * 864e9,
}

func seconds(spelling string) float64 { return quantity.KindDuration.Unit(spelling).ToSI(1) }

// Seconds turns a number into seconds since 1970 or since the start.
func (c *Clock) Seconds(v float64) float64 {
	if zero, ok := at1970[c.Format]; ok {
		return math.Round((v-zero)*c.Factor*1e4) / 1e4
	}
	return v * c.Factor
}
