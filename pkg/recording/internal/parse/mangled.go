package parse

import (
	"bytes"
	"math"
)

// DayMonth reads a day and a month's name as the number with one decimal that
// a spreadsheet took for a date: 18. Jul for 18.7, 18-Jul, 18 July. Months from
// October on come of two decimals and are none.
func DayMonth(b []byte) (float64, bool) {
	if len(b) < 5 || len(b) > 16 {
		return math.NaN(), false
	}
	d, n := Digits(b, 3)
	if n == 0 || n > 2 || d < 1 || d > 31 {
		return math.NaN(), false
	}
	rest := bytes.TrimLeft(b[n:], ".- ")
	if len(rest) == len(b)-n || len(b)-n-len(rest) > 2 {
		return math.NaN(), false
	}
	m, k := monthName(rest)
	if k == 0 || k != len(rest) || m > 9 {
		return math.NaN(), false
	}
	return float64(10*d+m) / 10, true
}

// Grouped reads a number with a mark before each three whole digits, where the
// mark is a point beside a decimal comma, a comma beside a decimal point, an
// apostrophe or a space: 2.013, 1'013.25, 12 345,6.
func Grouped(b []byte, decimal byte) (float64, bool) {
	if len(b) < 5 || len(b) > 24 {
		return math.NaN(), false
	}
	start := 0
	if b[0] == '-' || b[0] == '+' {
		start = 1
	}
	_, n := Digits(b[start:], 4)
	if n == 0 || n > 3 {
		return math.NaN(), false
	}
	plain := append(make([]byte, 0, len(b)), b[:start+n]...)
	rest, mark := b[start+n:], []byte(nil)
	for len(rest) > 0 && rest[0] != decimal {
		m := thousandsMark(rest, decimal)
		if m == nil || mark != nil && !bytes.Equal(m, mark) {
			return math.NaN(), false
		}
		mark, rest = m, rest[len(m):]
		if _, n := Digits(rest, 4); n != 3 {
			return math.NaN(), false
		}
		plain, rest = append(plain, rest[:3]...), rest[3:]
	}
	if mark == nil {
		return math.NaN(), false
	}
	return Number(append(plain, rest...), decimal)
}

// thousandsMark returns the mark that b begins with, nil for none.
func thousandsMark(b []byte, decimal byte) []byte {
	for _, m := range []string{".", ",", "'", "’", " ", "\u00a0", "\u202f"} {
		if m[0] != decimal && bytes.HasPrefix(b, []byte(m)) {
			return []byte(m)
		}
	}
	return nil
}

// OtherMark reads a number with the other decimal mark than the file's: 23,5
// among 23.5. With three digits behind it the mark may be one between thousands,
// and it is none.
func OtherMark(b []byte, decimal byte) (float64, bool) {
	other := byte('.')
	if decimal == '.' {
		other = ','
	}
	i := bytes.IndexByte(b, other)
	if i < 0 || i == len(b)-1 || len(b)-i-1 == 3 {
		return math.NaN(), false
	}
	return Number(b, other)
}
