package recording

import (
	"bytes"
	"math"
	"strings"
)

// cellKind is what a cell looks like on its own.
type cellKind int

const (
	cellText cellKind = iota
	cellEmpty
	cellNoValue // a word that stands for no value
	cellNumber
	cellUnitNumber // a number with its unit behind
	cellDate
	cellClock
	cellStamp
	cellUnit
	cellHalfDay    // AM or PM
	cellHemisphere // N, S, E, W
	cellKinds      // how many there are
)

// noValueWords are what loggers write where a sensor is open or out of range.
// Common practice, no source; a layout adds more.
var noValueWords = map[string]bool{
	"ol": true, "o.l": true, "o.l.": true, "0l": true, "-ol": true, "+ol": true, "0.l": true, "overload": true, "over": true, "under": true,
	"ovr": true, "udr": true, "overrange": true, "underrange": true, "over range": true, "under range": true,
	"err": true, "error": true, "err.": true, "fault": true, "fail": true, "bad": true,
	"nan": true, "na": true, "n/a": true, "n.a.": true, "#n/a": true, "#value!": true, "#div/0!": true, "#num!": true, "#ref!": true, "nil": true, "null": true, "none": true,
	"inf": true, "-inf": true, "+inf": true, "infinity": true, "-infinity": true, "1.#inf": true, "1.#qnan": true, "-1.#ind": true, "-1.#inf": true,
	"open": true, "open tc": true, "opentc": true, "short": true, "burnout": true, "disconnected": true, "no sensor": true, "no probe": true, "invalid": true, "void": true,
	"?": true, "*": true, "x": true, "\\n": true, "b.out": true, "b-out": true, "lo": true, "hi": true, "---": true,
}

// isNoValueWord reports whether a cell says that there is no value.
func isNoValueWord(b []byte) bool {
	if len(b) == 0 || len(b) > 16 {
		return false
	}
	if len(bytes.Trim(b, "-—–_.*#?/ ")) == 0 { // ----, --.-, ****
		return true
	}
	return noValueWords[strings.ToLower(string(b))]
}

// classify says what a trimmed cell looks like. Order matters: a number with
// dots may look like a date, so numbers come first.
func classify(b []byte, decimal byte) cellKind {
	if len(b) == 0 {
		return cellEmpty
	}
	if compactStamp(b) {
		return cellStamp
	}
	if v, ok := parseNumber(b, decimal); ok {
		// Eight digits that make a date stay a number here; detection looks at
		// the column's other evidence.
		if math.IsInf(v, 0) {
			return cellNoValue
		}
		return cellNumber
	}
	if isNoValueWord(b) {
		return cellNoValue
	}
	if len(b) <= 64 {
		if p, n, ok := splitDate(b); ok && n == len(b) && anyOrder(p) {
			return cellDate
		}
		if _, ok := parseClock(b, true); ok {
			return cellClock
		}
		if _, ok := parseMinutes(b); ok && bytes.IndexByte(b, '.') >= 0 {
			return cellClock
		}
		if d, c, ok := splitStamp(b); ok {
			p, n, okDate := splitDate(d)
			_, okClock := parseClock(c, false)
			if okDate && n == len(d) && okClock && anyOrder(p) {
				return cellStamp
			}
		}
	}
	switch strings.ToLower(string(b[:min(len(b), 5)])) {
	case "am", "pm", "a.m.", "p.m.":
		return cellHalfDay
	case "n", "s", "e", "w":
		return cellHemisphere
	}
	if _, ok := lookUpUnit(decodeText(b)); ok {
		return cellUnit
	}
	if len(b) <= 40 {
		if _, ok := parseDegrees(b, decimal); ok {
			return cellUnitNumber
		}
		if _, rest, ok := numberPrefix(b, decimal); ok {
			if _, known := lookUpUnit(decodeText(rest)); known || (len(rest) == 1 && bytes.ContainsAny(rest, "NSEW")) {
				return cellUnitNumber
			}
		}
	}
	return cellText
}

// anyOrder reports whether the parts make a date in some order.
func anyOrder(p dateParts) bool {
	for _, o := range []DateOrder{YearMonthDay, DayMonthYear, MonthDayYear} {
		if _, _, _, ok := p.civil(o); ok {
			return true
		}
	}
	return false
}

// nameWords splits a header name into lower-case words: "ENGINE_RPM ()",
// "cycMps" and "Air temp." become [engine rpm], [cyc mps], [air temp].
func nameWords(name string) []string {
	var words []string
	var word []rune
	flush := func() {
		if len(word) > 0 {
			words = append(words, strings.ToLower(string(word)))
			word = word[:0]
		}
	}
	lower := false
	for _, c := range name {
		letter := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '/' || c > 127
		upper := c >= 'A' && c <= 'Z'
		if !letter || (upper && lower) {
			flush()
		}
		if letter {
			word = append(word, c)
		}
		lower = c >= 'a' && c <= 'z'
	}
	flush()
	return words
}
