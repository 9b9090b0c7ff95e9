// Package epoch knows the days from which numbers for times count, and tells them
// by the numbers' size: each is taken for a time of the years 2000 to 2100.
package epoch

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// unix are the formats since 1970, with how many make a second.
var unix = []struct {
	format layout.TimeFormat
	each   float64
}{{layout.UnixSeconds, 1}, {layout.UnixMilliseconds, 1e3}, {layout.UnixMicroseconds, 1e6}, {layout.UnixNanoseconds, 1e9}}

// Unix returns the format in which a number is a time since 1970, "" for none.
func Unix(v float64) layout.TimeFormat {
	for _, f := range unix {
		if v >= 9.4e8*f.each && v < 4.2e9*f.each {
			return f.format
		}
	}
	return ""
}

// What the numbers are at the beginning of the year 2000 and, for days, of 2100.
const (
	seconds1904In2000                    = 3029529600
	spreadsheetIn2000, spreadsheetIn2100 = 36525, 73050
	modifiedIn2000                       = 51544
	julianIn2000, julianIn2100           = 2451544, 2488070
	yearOneIn2000, yearZeroIn2100        = 730120, 767010
	// Seconds since 2001 are told from 2020 to 2030, when those since 1970 of the
	// same size are older than any logger; those of the GPS up to 2030.
	seconds2001In2020, seconds2001In2030 = 599616000, 915148800
	seconds1980In2012, seconds1980In2030 = 1009411215, 1577491218
)

// Of returns the formats in which a number is a time since a fixed day, the
// likeliest first: none, one, or two between which only a person can tell. words
// are those of the column's name; days says that the numbers step as days do
// whose fractions are the time, fraction that some are not whole.
func Of(v float64, words []string, fraction, days bool) []layout.TimeFormat {
	f := Unix(v)
	named := func(w string) bool { return slices.Contains(words, w) }
	switch {
	case f == layout.UnixSeconds && named("elapsed"):
	case f == layout.UnixSeconds && named("gps") && v > seconds1980In2012 && v < seconds1980In2030:
		return []layout.TimeFormat{layout.SecondsSince1980, layout.UnixSeconds}
	case f == layout.UnixSeconds && v >= seconds1904In2000:
		return []layout.TimeFormat{layout.SecondsSince1904, layout.UnixSeconds}
	case f != "":
		return []layout.TimeFormat{f}
	case v >= seconds2001In2020 && v < seconds2001In2030 && !named("elapsed"):
		return []layout.TimeFormat{layout.SecondsSince2001}
	case v >= 1.2e17 && v < 1.6e17 && !fraction:
		return []layout.TimeFormat{layout.TicksSince1601}
	case v >= 6.3e17 && v < 6.7e17 && !fraction:
		return []layout.TimeFormat{layout.TicksSinceYearOne}
	case days:
		return ofDays(v, named)
	}
	return nil
}

// ofDays does so for numbers whose fractions are the time.
func ofDays(v float64, named func(word string) bool) []layout.TimeFormat {
	switch {
	case named("mjd") || named("modified"):
		return []layout.TimeFormat{layout.ModifiedJulianDays}
	case v > modifiedIn2000 && v < spreadsheetIn2100: // 2041 and later as a spreadsheet counts
		return []layout.TimeFormat{layout.ModifiedJulianDays, layout.SpreadsheetDays}
	case v > spreadsheetIn2000 && v < spreadsheetIn2100:
		return []layout.TimeFormat{layout.SpreadsheetDays}
	case v > julianIn2000 && v < julianIn2100:
		return []layout.TimeFormat{layout.JulianDays}
	case v > yearOneIn2000 && v < yearZeroIn2100:
		return []layout.TimeFormat{layout.YearZeroDays, layout.YearOneDays}
	}
	return nil
}
