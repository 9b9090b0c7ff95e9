// Package parse reads the text of numbers, angles, dates and times, each as a
// whole. It reads bytes without copying them, since every cell comes by here.
package parse

import (
	"bytes"
	"math"
	"strconv"
)

// pow10 are the powers of ten that float64 holds exactly.
var pow10 = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// Number reads the whole of b as a decimal number with the given decimal
// mark. The result is the nearest float64, as strconv would give it: up to 15
// digits and a power of ten up to 22 are each exact, so that one division or
// multiplication rounds correctly; all else goes to strconv.
func Number(b []byte, decimal byte) (float64, bool) {
	i, n := 0, len(b)
	negative := false
	if n > 0 && (b[0] == '-' || b[0] == '+') {
		negative = b[0] == '-'
		i++
	}
	var mantissa uint64
	digits, scale := 0, 0
	for ; i < n && b[i]-'0' <= 9; i++ {
		mantissa = mantissa*10 + uint64(b[i]-'0')
		digits++
	}
	if i < n && b[i] == decimal {
		i++
		from := i
		for ; i < n && b[i]-'0' <= 9; i++ {
			mantissa = mantissa*10 + uint64(b[i]-'0')
		}
		scale = i - from
		digits += scale
	}
	if digits == 0 {
		if minus := []byte("−"); bytes.HasPrefix(b, minus) && n > len(minus) && b[len(minus)]-'0' <= 9 {
			v, ok := Number(b[len(minus):], decimal)
			return -v, ok
		}
		return math.NaN(), false
	}
	if i < n || digits > 15 {
		return longNumber(b, i, decimal)
	}
	v := float64(mantissa) / pow10[scale]
	if negative {
		v = -v
	}
	return v, true
}

// longNumber reads what Number cannot: exponents and many digits.
// What follows the digits at i must be an exponent; that refuses the words and
// hexadecimal forms that strconv would take.
func longNumber(b []byte, i int, decimal byte) (float64, bool) {
	if len(b) > 400 {
		return math.NaN(), false
	}
	if i < len(b) {
		if b[i] != 'e' && b[i] != 'E' {
			return math.NaN(), false
		}
		for _, c := range b[i+1:] {
			if c-'0' > 9 && c != '-' && c != '+' {
				return math.NaN(), false
			}
		}
	}
	if decimal != '.' {
		b = bytes.Replace(b, []byte{decimal}, []byte{'.'}, 1)
	}
	v, err := strconv.ParseFloat(string(b), 64)
	if err != nil && !math.IsInf(v, 0) {
		return math.NaN(), false
	}
	return v, true
}

// NumberPrefix splits "23.5°C" into the number and what follows it.
func NumberPrefix(b []byte, decimal byte) (v float64, rest []byte, ok bool) {
	i := 0
	for i < len(b) && (b[i]-'0' <= 9 || b[i] == decimal || b[i] == '-' || b[i] == '+') {
		i++
	}
	if i == 0 || i == len(b) {
		return math.NaN(), nil, false
	}
	v, ok = Number(b[:i], decimal)
	return v, bytes.TrimSpace(b[i:]), ok
}
