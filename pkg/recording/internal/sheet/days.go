package sheet

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// Shown is how the numbers of a cell are shown.
type Shown int

// The ways that matter.
const (
	AsNumber Shown = iota
	AsDateAndTime
	AsDate
	AsTime
	AsPercent
)

// DayNumber writes a day number, counted from 1899-12-30 after shift days are
// added, as date and time to the millisecond. Times of more than a day are
// hours, minutes and seconds since some start.
func DayNumber(v float64, shift int64, shown Shown) string {
	ms := int64(math.Round(v * 86400e3))
	t := time.Unix((shift-25569)*86400, 0).UTC().Add(time.Duration(ms) * time.Millisecond)
	switch {
	case shown == AsTime && v >= 1 && v < 20000: // since some start, [h]:mm:ss
		return fmt.Sprintf("%d:%02d:%02d.%03d", ms/3600e3, ms/60e3%60, ms/1000%60, ms%1000)
	case shown == AsTime && v < 1:
		return t.Format("15:04:05.000")
	case shown == AsDate && v == math.Trunc(v):
		return t.Format("2006-01-02")
	}
	return t.Format("2006-01-02 15:04:05.000")
}

// ShownBy tells how a format code of a spreadsheet shows numbers: "yyyy-mm-dd",
// "0.00", "[h]:mm:ss".
func ShownBy(code string) Shown {
	var date, clock, percent bool
	code, _, _ = strings.Cut(strings.ToLower(code), ";")
	for i := 0; i < len(code); i++ {
		switch c := code[i]; c {
		case '"':
			if j := strings.IndexByte(code[i+1:], '"'); j >= 0 {
				i += j + 1
			}
		case '\\', '_', '*':
			i++
		case '[':
			j := strings.IndexByte(code[i:], ']')
			if j < 0 {
				continue
			}
			if in := code[i+1 : i+j]; strings.Trim(in, "hms") == "" && in != "" {
				clock = true
			}
			i += j
		case 'y', 'd':
			date = true
		case 'h', 's':
			clock = true
		case '%':
			percent = true
		}
	}
	switch {
	case strings.TrimSpace(code) == "general":
		return AsNumber
	case date && clock:
		return AsDateAndTime
	case date:
		return AsDate
	case clock:
		return AsTime
	case percent:
		return AsPercent
	}
	return AsNumber
}

// ShownByNumber tells how a format that has a number of its own shows numbers
// (ECMA-376 part 1, 18.8.30); known is false for numbers that files define.
func ShownByNumber(n int) (shown Shown, known bool) {
	switch {
	case n >= 14 && n <= 17, n >= 27 && n <= 31, n == 36, n >= 50 && n <= 54, n == 57, n == 58:
		return AsDate, true
	case n >= 18 && n <= 21, n >= 45 && n <= 47, n >= 32 && n <= 35, n == 55, n == 56:
		return AsTime, true
	case n == 22:
		return AsDateAndTime, true
	case n == 9, n == 10:
		return AsPercent, true
	}
	return AsNumber, n < 50
}
