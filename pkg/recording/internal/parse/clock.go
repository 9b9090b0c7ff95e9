package parse

import (
	"bytes"
	"math"
)

// A ClockTime is a time of day, or a time since some start.
type ClockTime struct {
	Seconds int64 // whole seconds; may pass 24 h for a time since some start
	Nanos   int64
	HasZone bool
	Zone    int64 // seconds east of Greenwich
	// Fraction is the number of digits behind the seconds, as far as nine.
	Fraction int
	// Unpadded says that minutes or seconds below ten stand without a zero, as
	// in 9:5:7. What is left of a cut line looks the same.
	Unpadded bool
}

// WholeMillis returns the time with its fraction read as a count of
// milliseconds that was not filled up: 6.37 is 37 ms after 6 s.
func (c ClockTime) WholeMillis() ClockTime {
	if c.Fraction > 0 && c.Fraction < 3 {
		for range 3 - c.Fraction {
			c.Nanos /= 10
		}
	}
	return c
}

// Clock reads the whole of b as a time: 14:18, 14:18:49, 14:18:49.325,
// with a comma or a colon before the fraction, 02:18:49 PM, with Z or an
// offset behind. Hours may pass 24 where long is set.
func Clock(b []byte, long bool) (ClockTime, bool) {
	h, n := Digits(b, 7)
	if n == 6 && !long {
		return clockInOne(b, h)
	}
	if n == 0 || n == len(b) || n > 5 || (!long && (n > 2 || h > 24)) {
		return ClockTime{}, false
	}
	sep := b[n]
	if long && sep == '.' && len(b) > n+3 && b[n+3] == ':' { // 1.02:03:04, days before hours
		c, ok := Clock(b[n+1:], false)
		c.Seconds += h * 86400
		return c, ok
	}
	if long && len(b) > n+1 && (sep == ' ' || sep == 'h' && b[n+1] == ' ') {
		return spelledOut(b, h, n)
	}
	return fromMinutes(b, h, n, long)
}

// fromMinutes reads a time behind its hours h, of n digits.
func fromMinutes(b []byte, h int64, n int, long bool) (ClockTime, bool) {
	sep := b[n]
	m, k := minutesOf(b[n+1:], sep)
	if k == 0 || !parts(sep, long) {
		return ClockTime{}, false
	}
	s, nanos, digits, rest, ok := secondsOf(b[n+1+k:], sep)
	if !ok {
		return ClockTime{}, false
	}
	if sep == 'h' {
		s, rest = secondsByLetter(rest, s)
	}
	c := ClockTime{Seconds: h*3600 + m*60 + s, Nanos: nanos, Fraction: digits, Unpadded: k == 1 || oneDigit(b[n+1+k:])}
	ok = len(rest) == 0 || c.Suffix(rest, h)
	return c, ok
}

// spelledOut reads a span with its days or its units between: 0 days 00:02:05,
// 1 day, 0:02:05, 0h 02m 05s. v is the number that b begins with, of n digits.
func spelledOut(b []byte, v int64, n int) (ClockTime, bool) {
	rest := b[n+1:]
	if b[n] == 'h' {
		return Clock(bytes.ReplaceAll(b, []byte(" "), nil), true)
	}
	if !bytes.HasPrefix(rest, []byte("day")) {
		return ClockTime{}, false
	}
	rest = bytes.TrimLeft(bytes.TrimPrefix(bytes.TrimPrefix(rest, []byte("day")), []byte("s")), ", +")
	if len(rest) == 0 {
		return ClockTime{}, false
	}
	c, ok := Clock(rest, false)
	c.Seconds += v * 86400
	return c, ok
}

// minutesOf reads the minutes behind a separator; n is the number of digits, 0
// where there are no minutes.
func minutesOf(b []byte, sep byte) (m int64, n int) {
	m, n = Digits(b, 2)
	if m > 59 || n == 1 && (sep != ':' || len(b) < 2 || b[1] != ':') { // 9:5:7, but not 9:5
		return 0, 0
	}
	return m, n
}

// secondsByLetter reads the end of 17h42m06s; where it is none, b and s stay.
func secondsByLetter(b []byte, s int64) (int64, []byte) {
	if len(b) < 3 || b[0] != 'm' {
		return s, b
	}
	if k, n := Digits(b[1:], 2); n == 2 && k <= 60 {
		return k, bytes.TrimPrefix(b[3:], []byte{'s'})
	}
	return s, b
}

// clockInOne reads 141849, as it stands behind a date; v is that number.
func clockInOne(b []byte, v int64) (ClockTime, bool) {
	c, ok := CompactClock(b[:6])
	ok = ok && v < 240000 && (len(b) == 6 || c.Suffix(b[6:], v/10000))
	return c, ok
}

// parts reports whether sep may stand between hours and minutes.
func parts(sep byte, long bool) bool {
	return sep == ':' || sep == '.' || sep == 'h' || ((sep == '-' || sep == '_') && !long)
}

// oneDigit reports whether a separator and a single digit begin b.
func oneDigit(b []byte) bool {
	return len(b) > 1 && b[0] == ':' && b[1]-'0' <= 9 && (len(b) == 2 || b[2]-'0' > 9)
}

// secondsOf reads the seconds behind a separator, if they are there.
func secondsOf(b []byte, sep byte) (s, nanos int64, digits int, rest []byte, ok bool) {
	if len(b) <= 1 || b[0] != sep || sep == 'h' {
		return 0, 0, 0, b, sep != '.' && sep != '-' // 14.18 is a number rather than a time
	}
	s, n := Digits(b[1:], 2)
	if n == 0 || n == 1 && sep != ':' || s > 60 {
		return 0, 0, 0, nil, false
	}
	b = b[1+n:]
	if len(b) <= 1 || (b[0] != '.' && b[0] != ',' && b[0] != ':') {
		return s, 0, 0, b, true
	}
	f, n := Digits(b[1:], 9)
	if n == 0 {
		return 0, 0, 0, nil, false
	}
	b, digits = b[1+n:], n
	for ; n < 9; n++ {
		f *= 10
	}
	for len(b) > 0 && b[0]-'0' <= 9 { // beyond nanoseconds
		b = b[1:]
	}
	return s, f, digits, b, true
}

// Minutes reads minutes and seconds since some start: 83:20, 83:20.5.
func Minutes(b []byte) (ClockTime, bool) {
	m, n := Digits(b, 5)
	if n == 0 || n == len(b) || b[n] != ':' {
		return ClockTime{}, false
	}
	b = b[n+1:]
	s, n := Digits(b, 2)
	if n != 2 || s > 59 {
		return ClockTime{}, false
	}
	c := ClockTime{Seconds: 60*m + s}
	if b = b[2:]; len(b) == 0 {
		return c, true
	}
	if b[0] != '.' && b[0] != ',' {
		return ClockTime{}, false
	}
	f, ok := Number(b, b[0])
	c.Nanos = min(int64(math.Round(f*1e9)), 1e9-1)
	return c, ok && len(b) > 1 && f < 1
}

// Suffix reads what may follow a time of h hours: AM or PM, a zone.
func (c *ClockTime) Suffix(b []byte, h int64) bool {
	b = bytes.TrimLeft(b, " ")
	if len(b) >= 2 && (b[0]|0x20 == 'a' || b[0]|0x20 == 'p') {
		letters, rest := halfDayWord(b)
		if letters[1]|0x20 != 'm' || !c.HalfDay(letters[0], h) {
			return false
		}
		b = bytes.TrimLeft(rest, " ")
	}
	if len(b) == 0 {
		return true
	}
	if b[0] == 'Z' || string(b) == "UTC" || string(b) == "GMT" {
		c.HasZone = true
		return len(b) == 1 || b[0] != 'Z'
	}
	return c.offset(b)
}

// halfDayWord cuts off AM, a.m. or a. m. and returns its letters.
func halfDayWord(b []byte) (letters [2]byte, rest []byte) {
	if k := len("a. m."); len(b) >= k && string(b[1:3]) == ". " && b[4] == '.' {
		return [2]byte{b[0], b[3]}, b[k:]
	}
	if b[1] == '.' && len(b) >= 4 && b[3] == '.' {
		return [2]byte{b[0], b[2]}, b[4:]
	}
	return [2]byte{b[0], b[1]}, b[2:]
}

// offset reads an offset from UTC: +02, +0200, -02:30.
func (c *ClockTime) offset(b []byte) bool {
	if b[0] != '+' && b[0] != '-' {
		return false
	}
	h, n := Digits(b[1:], 2)
	if n != 2 || h > 15 {
		return false
	}
	rest := b[3:]
	if len(rest) > 0 && rest[0] == ':' {
		rest = rest[1:]
	}
	var m int64
	if len(rest) > 0 {
		if m, n = Digits(rest, 2); n != 2 || len(rest) != 2 || m > 59 {
			return false
		}
	}
	c.HasZone, c.Zone = true, h*3600+m*60
	if b[0] == '-' {
		c.Zone = -c.Zone
	}
	return true
}

// HalfDay moves a time on the 12-hour clock into its half of the day.
func (c *ClockTime) HalfDay(letter byte, h int64) bool {
	if h < 1 || h > 12 {
		return h == 0 || h > 12 // some write 14:18 PM or 00:05 AM; the 24-hour reading stands
	}
	pm := letter|0x20 == 'p'
	if h == 12 && !pm {
		c.Seconds -= 12 * 3600
	} else if h != 12 && pm {
		c.Seconds += 12 * 3600
	}
	return true
}

// IsZone reports whether b is a zone on its own: Z, +02:00.
func IsZone(b []byte) bool {
	var t ClockTime
	return len(b) > 0 && (b[0] == '+' || b[0] == '-' || b[0] == 'Z') && t.Suffix(b, 0) && t.HasZone
}

// CompactClock reads hhmmss and hhmmss.sss, also where a program has dropped
// leading zeros.
func CompactClock(b []byte) (ClockTime, bool) {
	v, k := Digits(b, 7)
	if k == 0 || k > 6 || v%100 > 60 || v/100%100 > 59 || v > 240000 {
		return ClockTime{}, false
	}
	c := ClockTime{Seconds: SecondsOfDay(v)}
	if k == len(b) {
		return c, true
	}
	f, ok := Number(b[k:], '.')
	c.Nanos = int64(f * 1e9)
	return c, ok && f >= 0 && f < 1
}

// SecondsOfDay returns the seconds since midnight of a number that is hhmmss.
func SecondsOfDay(v int64) int64 { return v/10000*3600 + v/100%100*60 + v%100 }

// ColonBefore reports whether a colon stands before the last digits.
func ColonBefore(clock []byte, digits int) bool {
	i := len(clock) - 1
	for i >= 0 && clock[i]-'0' > 9 { // AM, PM or a zone
		i--
	}
	return i-digits >= 0 && clock[i-digits] == ':'
}
