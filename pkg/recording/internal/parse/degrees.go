package parse

import (
	"bytes"
	"math"
)

// Degrees reads the whole of b as an angle in degrees, minutes and
// seconds, or with the letter of its side: 46°30.25'N, 46° 30' 15.5" N,
// S 46.5. South and west are negative. A bare number is none.
func Degrees(b []byte, decimal byte) (float64, bool) {
	if len(b) < 3 || len(b) > 40 {
		return math.NaN(), false
	}
	b, side, marked := cutSide(b)
	total, scale := 0.0, 1.0
	for part := 0; len(b) > 0; part++ {
		v, rest, mark, ok := degreePart(b, part, decimal)
		// Seconds may have lost their mark to the quotes around the cell;
		// degrees need none beside a letter.
		if !ok || mark == 0 && (len(rest) > 0 || (part == 0 && side == 0)) {
			return math.NaN(), false
		}
		total += v / scale
		marked = marked || mark > 0
		b = bytes.TrimLeft(rest[mark:], " ")
		scale *= 60
	}
	if side == 'S' || side == 'W' {
		total = -total
	}
	return total, marked && scale > 1
}

// degreePart reads degrees (part 0), minutes or seconds, and how long the mark
// at the beginning of the rest is.
func degreePart(b []byte, part int, decimal byte) (v float64, rest []byte, mark int, ok bool) {
	i := 0
	for i < len(b) && (b[i]-'0' <= 9 || b[i] == decimal) {
		i++
	}
	v, ok = Number(b[:i], decimal)
	if !ok || part > 2 || (part > 0 && v >= 60) || (part == 0 && v > 180) {
		return 0, nil, 0, false
	}
	rest = bytes.TrimLeft(b[i:], " ")
	return v, rest, markLength(rest, part), true
}

// cutSide takes N, S, E or W from either end.
func cutSide(b []byte) (rest []byte, side byte, marked bool) {
	first, last := b[0], b[len(b)-1]
	if bytes.IndexByte([]byte("NSEW"), first) >= 0 && len(b) > 1 {
		// S 46.5, but not E05, a code
		return bytes.TrimLeft(b[1:], " "), first, bytes.ContainsAny(b, ".,")
	}
	if bytes.IndexByte([]byte("NSEW"), last) >= 0 && bytes.ContainsAny(b, "°'′") {
		return bytes.TrimRight(b[:len(b)-1], " "), last, true
	}
	return b, 0, false
}

// markLength is the length of the mark behind degrees, minutes or seconds.
func markLength(b []byte, part int) int {
	marks := [3][]string{{"°", "º", "\xb0"}, {"'", "′", "’"}, {`""`, `"`, "″", "''", "”"}}
	for _, m := range marks[part] {
		if bytes.HasPrefix(b, []byte(m)) {
			return len(m)
		}
	}
	return 0
}
