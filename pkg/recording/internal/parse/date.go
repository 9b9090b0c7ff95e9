package parse

import (
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// DateParts are those of a date as written, before an order gives them meaning.
type DateParts struct {
	A, B, C     int64 // the three numbers in the order of the file
	FirstDigits int   // digits of the first
	LastDigits  int   // digits of the last
	Month       int   // position of a month's name, 1 to 3; 0 where all are numbers
}

// months maps the first three letters of a month's name, English or German.
var months = map[string]int64{"jan": 1, "feb": 2, "mar": 3, "apr": 4, "may": 5, "jun": 6, "jul": 7,
	"aug": 8, "sep": 9, "oct": 10, "nov": 11, "dec": 12, "mrz": 3, "mär": 3, "mai": 5, "okt": 10, "dez": 12}

// SplitDate reads a date at the start of b and returns its parts and length.
func SplitDate(b []byte) (p DateParts, n int, ok bool) {
	switch v, k := Digits(b, 9); k {
	case 8: // 20250124
		return DateParts{A: v / 10000, B: v / 100 % 100, C: v % 100, FirstDigits: 4, LastDigits: 2}, 8, true
	case 6: // 240125 or 250124
		return DateParts{A: v / 10000, B: v / 100 % 100, C: v % 100, FirstDigits: 2, LastDigits: 2}, 6, true
	}
	if p, ok := ordinalDate(b); ok {
		return p, 8, true
	}
	var sep byte
	values := [3]*int64{&p.A, &p.B, &p.C}
	for i := range values {
		v, k := p.part(b[n:], i)
		if k == 0 {
			return p, 0, false
		}
		*values[i] = v
		n += k
		if i == 2 {
			return p, n, true
		}
		if n >= len(b) {
			return p, 0, false
		}
		if i == 0 {
			sep = b[n]
		}
		if !p.separates(b[n], sep, i) {
			return p, 0, false
		}
		n++
		for n < len(b) && b[n] == ' ' {
			n++
		}
	}
	return p, n, true
}

// ordinalDate reads a year and a day of it at the start of b, 2025-266 (ISO
// 8601), 2025/266 or 2025:266.
func ordinalDate(b []byte) (DateParts, bool) {
	year, n := Digits(b, 5)
	if n != 4 || len(b) < 8 || b[4] != '-' && b[4] != '/' && b[4] != ':' || len(b) > 8 && b[8] != 'T' && b[8] != ' ' && (b[8] != ':' || b[4] != ':') {
		return DateParts{}, false
	}
	day, n := Digits(b[5:], 4)
	if n != 3 || year < 1970 || year > 2200 || day < 1 {
		return DateParts{}, false
	}
	for m := int64(1); m <= 12; m++ {
		if k := DaysIn(year, m); day > k {
			day -= k
			continue
		}
		return DateParts{A: year, B: m, C: day, FirstDigits: 4, LastDigits: 2}, true
	}
	return DateParts{}, false
}

// part reads the i-th part of a date, a number or a month's name; its length k
// is 0 where there is none.
func (p *DateParts) part(b []byte, i int) (v int64, k int) {
	if v, k = Digits(b, 5); k == 0 {
		if p.Month != 0 {
			return 0, 0
		}
		if v, k = monthName(b); k > 0 {
			p.Month = i + 1
		}
	} else if k > 4 || k == 3 {
		return 0, 0
	}
	switch i {
	case 0:
		p.FirstDigits = k
	case 2:
		p.LastDigits = k
	}
	return v, k
}

// separates reports whether c may stand behind the i-th part, where first
// stands behind the first.
func (p *DateParts) separates(c, first byte, i int) bool {
	if c == ',' && p.Month == 1 && i == 1 { // Jan 2, 2006
		c = first
	}
	if (c != '-' && c != '/' && c != '.' && c != ' ' && c != '_') || (c != first && p.Month == 0) {
		return false
	}
	return c != ' ' || p.Month != 0 || i != 1 // three bare numbers
}

// monthName reads a month's name and returns its number and length.
func monthName(b []byte) (int64, int) {
	k := 0
	for k < len(b) && k < 12 && (b[k]|0x20 >= 'a' && b[k]|0x20 <= 'z' || b[k] >= 0x80) {
		k++
	}
	if k < 3 {
		return 0, 0
	}
	name := []rune(strings.ToLower(string(b[:k])))
	if len(name) < 3 {
		return 0, 0
	}
	m, ok := months[string(name[:3])]
	if !ok {
		return 0, 0
	}
	if k < len(b) && (b[k] == ',' || b[k] == '.') {
		k++
	}
	return m, k
}

// Civil gives the parts their meaning.
func (p DateParts) Civil(order layout.DateOrder) (y, m, d int64, ok bool) {
	switch {
	case p.Month == 1:
		y, m, d = p.C, p.A, p.B
	case p.Month == 2 && p.FirstDigits == 4:
		y, m, d = p.A, p.B, p.C
	case p.Month == 2:
		y, m, d = p.C, p.B, p.A
	case p.Month == 3:
		return 0, 0, 0, false
	case p.FirstDigits == 4:
		y, m, d = p.A, p.B, p.C
	case order == layout.YearMonthDay:
		if p.LastDigits > 2 {
			return 0, 0, 0, false
		}
		y, m, d = p.A, p.B, p.C
	case order == layout.MonthDayYear:
		y, m, d = p.C, p.A, p.B
	default:
		y, m, d = p.C, p.B, p.A
	}
	if y < 100 {
		// Two digits: 1970 to 2069, the rule of the C library's strptime with
		// the epoch as its lower end.
		if y < 70 {
			y += 100
		}
		y += 1900
	}
	if y < 1970 || y > 2200 || m < 1 || m > 12 || d < 1 || d > DaysIn(y, m) {
		return 0, 0, 0, false
	}
	return y, m, d, true
}

// DaysIn returns the number of days of a month.
func DaysIn(y, m int64) int64 {
	switch m {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if y%4 == 0 && (y%100 != 0 || y%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// DaysSinceEpoch counts days from 1970-01-01 in the Gregorian calendar: whole
// years, then the months of a year that begins in March.
func DaysSinceEpoch(y, m, d int64) int64 {
	if m <= 2 {
		y--
		m += 12
	}
	return 365*y + y/4 - y/100 + y/400 + (153*(m-3)+2)/5 + d - 1 - 719468
}

// Date reads the whole of b as a date.
func Date(b []byte, order layout.DateOrder) (days int64, ok bool) {
	p, n, ok := SplitDate(b)
	if !ok || n != len(b) {
		return 0, false
	}
	y, m, d, ok := p.Civil(order)
	if !ok {
		return 0, false
	}
	return DaysSinceEpoch(y, m, d), true
}

// ValidOrders returns the orders in which the date exists.
func (p DateParts) ValidOrders() []layout.DateOrder {
	var valid []layout.DateOrder
	for _, o := range []layout.DateOrder{layout.YearMonthDay, layout.DayMonthYear, layout.MonthDayYear} {
		if _, _, _, ok := p.Civil(o); ok {
			valid = append(valid, o)
		}
	}
	return valid
}

// AnyOrder reports whether the parts make a date in some order.
func AnyOrder(p DateParts) bool {
	for _, o := range []layout.DateOrder{layout.YearMonthDay, layout.DayMonthYear, layout.MonthDayYear} {
		if _, _, _, ok := p.Civil(o); ok {
			return true
		}
	}
	return false
}
