package recording

import (
	"bytes"
	"math"
	"strings"
)

// A clockTime is a time of day, or a time since some start.
type clockTime struct {
	seconds int64 // whole seconds; may pass 24 h for a time since some start
	nanos   int64
	hasZone bool
	zone    int64 // seconds east of Greenwich
	twelve  bool  // written with AM or PM
}

// digits reads up to max decimal digits at the start of b.
func digits(b []byte, max int) (v int64, n int) {
	for n < len(b) && n < max && b[n]-'0' <= 9 {
		v = v*10 + int64(b[n]-'0')
		n++
	}
	return v, n
}

// parseClock reads the whole of b as a time: 14:18, 14:18:49, 14:18:49.325,
// with a comma or a colon before the fraction, 02:18:49 PM, with Z or an
// offset behind. Hours may pass 24 where long is set.
func parseClock(b []byte, long bool) (clockTime, bool) {
	var c clockTime
	if k, n := digits(b, 7); !long && n == 6 { // 141849, after a date
		if c, ok := compactClock(b[:6]); ok && k < 240000 {
			return c, len(b) == 6 || c.suffix(b[6:], k/10000)
		}
		return c, false
	}
	h, n := digits(b, 5)
	if n == 0 || n == len(b) || (!long && (n > 2 || h > 24)) {
		return c, false
	}
	sep := b[n]
	if long && sep == '.' && len(b) > n+3 && b[n+3] == ':' { // 1.02:03:04, days before hours
		c, ok := parseClock(b[n+1:], false)
		c.seconds += h * 86400
		return c, ok
	}
	if sep != ':' && sep != '.' && sep != 'h' && (sep != '-' || long) {
		return c, false
	}
	b = b[n+1:]
	m, n := digits(b, 2)
	if n != 2 || m > 59 {
		return c, false
	}
	b = b[2:]
	var s int64
	if len(b) > 2 && b[0] == sep && sep != 'h' {
		if s, n = digits(b[1:], 2); n != 2 || s > 60 {
			return c, false
		}
		b = b[3:]
		if len(b) > 1 && (b[0] == '.' || b[0] == ',' || b[0] == ':') {
			var f int64
			if f, n = digits(b[1:], 9); n == 0 {
				return c, false
			}
			b = b[1+n:]
			for ; n < 9; n++ {
				f *= 10
			}
			c.nanos = f
			for len(b) > 0 && b[0]-'0' <= 9 { // beyond nanoseconds
				b = b[1:]
			}
		}
	} else if sep == '.' || sep == '-' { // 14.18 is a number rather than a time
		return c, false
	}
	c.seconds = h*3600 + m*60 + s
	return c, len(b) == 0 || c.suffix(b, h)
}

// parseMinutes reads minutes and seconds since some start: 83:20, 83:20.5.
func parseMinutes(b []byte) (clockTime, bool) {
	m, n := digits(b, 5)
	if n == 0 || n == len(b) || b[n] != ':' {
		return clockTime{}, false
	}
	b = b[n+1:]
	s, n := digits(b, 2)
	if n != 2 || s > 59 {
		return clockTime{}, false
	}
	c := clockTime{seconds: 60*m + s}
	if b = b[2:]; len(b) == 0 {
		return c, true
	}
	if b[0] != '.' && b[0] != ',' {
		return clockTime{}, false
	}
	f, ok := parseNumber(b, b[0])
	c.nanos = int64(math.Round(f * 1e9))
	return c, ok && len(b) > 1 && f < 1
}

// suffix reads what may follow a time: AM or PM, a zone.
func (c *clockTime) suffix(b []byte, h int64) bool {
	b = bytes.TrimLeft(b, " ")
	if len(b) >= 2 && (b[0]|0x20 == 'a' || b[0]|0x20 == 'p') {
		word := b[:2]
		if k := len("a. m."); len(b) >= k && string(b[1:3]) == ". " && b[4] == '.' { // a. m.
			word = []byte{b[0], b[3]}
			b = b[k:]
		} else if b[1] == '.' && len(b) >= 4 && b[3] == '.' { // p.m.
			word = []byte{b[0], b[2]}
			b = b[4:]
		} else {
			b = b[2:]
		}
		if word[1]|0x20 != 'm' || !c.halfDay(word[0], h) {
			return false
		}
		b = bytes.TrimLeft(b, " ")
	}
	if len(b) == 0 {
		return true
	}
	if b[0] == 'Z' || string(b) == "UTC" || string(b) == "GMT" {
		c.hasZone = true
		return len(b) == 1 || b[0] != 'Z'
	}
	if b[0] != '+' && b[0] != '-' {
		return false
	}
	oh, n := digits(b[1:], 2)
	if n != 2 || oh > 15 {
		return false
	}
	rest := b[3:]
	if len(rest) > 0 && rest[0] == ':' {
		rest = rest[1:]
	}
	var om int64
	if len(rest) > 0 {
		if om, n = digits(rest, 2); n != 2 || len(rest) != 2 || om > 59 {
			return false
		}
	}
	c.hasZone, c.zone = true, oh*3600+om*60
	if b[0] == '-' {
		c.zone = -c.zone
	}
	return true
}

// halfDay moves a time on the 12-hour clock into its half of the day.
func (c *clockTime) halfDay(letter byte, h int64) bool {
	if h < 1 || h > 12 {
		return h == 0 || h > 12 // some write 14:18 PM or 00:05 AM; the 24-hour reading stands
	}
	c.twelve = true
	pm := letter|0x20 == 'p'
	if h == 12 && !pm {
		c.seconds -= 12 * 3600
	} else if h != 12 && pm {
		c.seconds += 12 * 3600
	}
	return true
}

// parts of a date as written, before an order gives them meaning.
type dateParts struct {
	a, b, c int64 // the three numbers in the order of the file
	na      int   // digits of the first
	nc      int   // digits of the last
	month   int   // position of a month's name, 1 to 3; 0 where all are numbers
}

// months maps the first three letters of a month's name, English or German.
var months = map[string]int64{"jan": 1, "feb": 2, "mar": 3, "apr": 4, "may": 5, "jun": 6, "jul": 7,
	"aug": 8, "sep": 9, "oct": 10, "nov": 11, "dec": 12, "mrz": 3, "mär": 3, "mai": 5, "okt": 10, "dez": 12}

// splitDate reads a date at the start of b and returns its parts and length.
func splitDate(b []byte) (p dateParts, n int, ok bool) {
	switch v, k := digits(b, 9); k {
	case 8: // 20250124
		return dateParts{a: v / 10000, b: v / 100 % 100, c: v % 100, na: 4, nc: 2}, 8, true
	case 6: // 240125 or 250124
		return dateParts{a: v / 10000, b: v / 100 % 100, c: v % 100, na: 2, nc: 2}, 6, true
	}
	var sep byte
	values := [3]*int64{&p.a, &p.b, &p.c}
	for i := range values {
		v, k := digits(b[n:], 5)
		if k == 0 {
			if v, k = monthName(b[n:]); k == 0 || p.month != 0 {
				return p, 0, false
			}
			p.month = i + 1
		} else if k > 4 || k == 3 {
			return p, 0, false
		}
		*values[i] = v
		n += k
		if i == 0 {
			p.na = k
		}
		if i == 2 {
			p.nc = k
			return p, n, true
		}
		if n >= len(b) {
			return p, 0, false
		}
		c := b[n]
		if i == 0 {
			sep = c
		}
		if c == ',' && p.month == 1 && i == 1 { // Jan 2, 2006
			c = sep
		}
		if (c != '-' && c != '/' && c != '.' && c != ' ') || (c != sep && p.month == 0) {
			return p, 0, false
		}
		if c == ' ' && p.month == 0 && i == 1 {
			return p, 0, false // three bare numbers
		}
		n++
		for n < len(b) && b[n] == ' ' {
			n++
		}
	}
	return p, n, true
}

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

// civil gives the parts their meaning.
func (p dateParts) civil(order DateOrder) (y, m, d int64, ok bool) {
	switch {
	case p.month == 1:
		y, m, d = p.c, p.a, p.b
	case p.month == 2 && p.na == 4:
		y, m, d = p.a, p.b, p.c
	case p.month == 2:
		y, m, d = p.c, p.b, p.a
	case p.month == 3:
		return 0, 0, 0, false
	case p.na == 4:
		y, m, d = p.a, p.b, p.c
	case order == YearMonthDay:
		if p.nc > 2 {
			return 0, 0, 0, false
		}
		y, m, d = p.a, p.b, p.c
	case order == MonthDayYear:
		y, m, d = p.c, p.a, p.b
	default:
		y, m, d = p.c, p.b, p.a
	}
	if y < 100 {
		// Two digits: 1970 to 2069, the rule of the C library's strptime with
		// the epoch as its lower end.
		if y < 70 {
			y += 100
		}
		y += 1900
	}
	if y < 1970 || y > 2200 || m < 1 || m > 12 || d < 1 || d > daysIn(y, m) {
		return 0, 0, 0, false
	}
	return y, m, d, true
}

func daysIn(y, m int64) int64 {
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

// daysSinceEpoch counts days from 1970-01-01 in the Gregorian calendar: whole
// years, then the months of a year that begins in March.
func daysSinceEpoch(y, m, d int64) int64 {
	if m <= 2 {
		y--
		m += 12
	}
	return 365*y + y/4 - y/100 + y/400 + (153*(m-3)+2)/5 + d - 1 - 719468
}

// parseDate reads the whole of b as a date.
func parseDate(b []byte, order DateOrder) (days int64, ok bool) {
	p, n, ok := splitDate(b)
	if !ok || n != len(b) {
		return 0, false
	}
	y, m, d, ok := p.civil(order)
	if !ok {
		return 0, false
	}
	return daysSinceEpoch(y, m, d), true
}

// splitStamp splits a date and time in one cell: "2025-01-24T14:18:49",
// "24.01.2025, 14:18:49", "14:18:49 24/01/2025".
func splitStamp(b []byte) (date, clock []byte, ok bool) {
	if compactStamp(b) {
		return b[:8], b[8:], true
	}
	if len(b) > 4 && b[0] >= 'A' {
		if b = dropWeekday(b); len(b) > 4 && b[3] == ' ' {
			// Jun 25 13:59:50 2025, as the C library's ctime writes it
			if f := bytes.Fields(b); len(f) == 4 && len(f[3]) == 4 && bytes.IndexByte(f[2], ':') > 0 {
				return bytes.Join([][]byte{f[1], f[0], f[3]}, []byte{' '}), f[2], true
			}
		}
	}
	if _, n, ok := splitDate(b); ok && n < len(b) {
		rest := b[n:]
		if rest[0] == 'T' || rest[0] == 't' || rest[0] == '_' || rest[0] == ' ' || rest[0] == ',' || rest[0] == '-' || rest[0] == ';' {
			return b[:n], bytes.TrimLeft(rest[1:], " "), true
		}
		return nil, nil, false
	}
	if i := bytes.IndexByte(b, ' '); i > 0 && bytes.IndexByte(b[:i], ':') > 0 {
		if j := bytes.LastIndexByte(b, ' '); j > 0 {
			return bytes.TrimSpace(b[j+1:]), bytes.TrimSpace(b[:j]), true
		}
	}
	return nil, nil, false
}

// dropWeekday removes a weekday's name in front: "Wed Jun 25", "Wed, 25 Jun".
func dropWeekday(b []byte) []byte {
	i := bytes.IndexByte(b, ' ')
	if i < 2 || i > 10 {
		return b
	}
	if _, k := monthName(b); k > 0 {
		return b
	}
	for _, c := range bytes.TrimSuffix(b[:i], []byte{','}) {
		if c|0x20 < 'a' || c|0x20 > 'z' {
			return b
		}
	}
	return bytes.TrimLeft(b[i:], " ")
}
