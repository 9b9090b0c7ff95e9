package parse

import (
	"bytes"
)

// CompactStamp reports whether b begins with 14 digits that are a date and
// time, YYYYMMDDhhmmss, and no more of them.
func CompactStamp(b []byte) bool {
	if len(b) < 14 || b[0]-'1' > 1 || b[4]-'0' > 9 || b[13]-'0' > 9 {
		return false
	}
	v, k := Digits(b, 15)
	if k != 14 || len(b) > 14 && b[14] != 'Z' && b[14] != '+' && b[14] != '-' {
		return false
	}
	day, clock := v/1e6, v%1e6
	y, m, d := day/10000, day/100%100, day%100
	return y >= 1970 && y <= 2200 && m >= 1 && m <= 12 && d >= 1 && d <= DaysIn(y, m) &&
		clock < 240000 && clock/100%100 < 60 && clock%100 <= 60
}

// SplitStamp splits a date and time in one cell: "2025-01-24T14:18:49",
// "24.01.2025, 14:18:49", "14:18:49 24/01/2025".
func SplitStamp(b []byte) (date, clock []byte, ok bool) {
	if CompactStamp(b) {
		return b[:8], b[8:], true
	}
	if k := len(b) - 1; k > 8 && b[0] == '[' && b[k] == ']' {
		b = b[1:k]
	}
	if len(b) > 8 && b[4] == yearSign[0] {
		b = bySigns(b)
	}
	if len(b) > 4 && b[0] >= 'A' {
		b = dropWeekday(b)
		if date, clock, ok := splitYearLast(b); ok {
			return date, clock, true
		}
	}
	if _, n, ok := SplitDate(b); ok && n < len(b) {
		if bytes.IndexByte([]byte("Tt_ ,-;"), b[n]) < 0 && (b[n] != ':' || n != 8 || b[4] != ':') {
			return nil, nil, false
		}
		return b[:n], bytes.TrimLeft(b[n+1:], " "), true
	}
	if i := bytes.IndexByte(b, ' '); i > 0 && bytes.IndexByte(b[:i], ':') > 0 {
		j := bytes.LastIndexByte(b, ' ')
		return bytes.TrimSpace(b[j+1:]), bytes.TrimSpace(b[:j]), true
	}
	return nil, nil, false
}

// yearSign stands behind the year where dates are written as 2025年1月24日.
const yearSign = "年"

var signs = [][2][]byte{{[]byte(yearSign), []byte("-")}, {[]byte("月"), []byte("-")}, {[]byte("日"), []byte(" ")}, {[]byte("号"), []byte(" ")},
	{[]byte("时"), []byte(":")}, {[]byte("時"), []byte(":")}, {[]byte("点"), []byte(":")}, {[]byte("分"), []byte(":")}, {[]byte("秒"), nil}}

// bySigns puts a date and time with the signs of year, month and day behind the
// numbers, and of hour, minute and second, into one with marks between them.
func bySigns(b []byte) []byte {
	if !bytes.HasPrefix(b[4:], []byte(yearSign)) {
		return b
	}
	for _, s := range signs {
		b = bytes.ReplaceAll(b, s[0], s[1])
	}
	return bytes.TrimRight(b, " ")
}

// splitYearLast splits Jun 25 13:59:50 2025, as the C library's ctime writes
// it.
func splitYearLast(b []byte) (date, clock []byte, ok bool) {
	if len(b) <= 4 || b[3] != ' ' {
		return nil, nil, false
	}
	f := bytes.Fields(b)
	if len(f) != 4 || len(f[3]) != 4 || bytes.IndexByte(f[2], ':') <= 0 {
		return nil, nil, false
	}
	return bytes.Join([][]byte{f[1], f[0], f[3]}, []byte{' '}), f[2], true
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

// StampWithin finds a date with a time of day behind it in a line, in seconds.
func StampWithin(line []byte) (date DateParts, text string, seconds int64, ok bool) {
	for i := range line {
		if i > 0 && (line[i-1]-'0' <= 9 || line[i-1]|0x20 >= 'a' && line[i-1] < 0x80) {
			continue
		}
		p, n, ok := SplitDate(line[i:])
		if !ok || !AnyOrder(p) || i+n >= len(line) {
			continue
		}
		rest := bytes.Trim(line[i+n:], " \t\r;,\"T")
		if k, ok := Clock(rest, true); ok {
			return p, string(line[i : i+n]), int64(k.Seconds), true
		}
	}
	return DateParts{}, "", 0, false
}
