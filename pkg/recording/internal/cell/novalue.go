package cell

import (
	"bytes"
	"math"
	"strings"
)

// IsSentinelNumber reports whether a number in a column of temperatures stands
// for none. Common practice of loggers, no source.
func IsSentinelNumber(v float64) bool {
	switch v {
	case 9999, -9999, 999.9, -999.9, 9999.9, -9999.9, 999, -999, 99999, -99999, 999999, 32767, -32768,
		3276.7, -3276.8, 65535, 6553.5, -127:
		return true
	}
	return math.Abs(v) >= 1e30
}

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

// IsNoValue reports whether a cell says that there is no value.
func IsNoValue(b []byte) bool {
	if len(b) == 0 || len(b) > 16 {
		return false
	}
	if c := b[0] | 0x20; (c < '0' || c > '9') && (c < 'a' || c > 'z') && len(bytes.Trim(b, "-—–_.*#?/ ")) == 0 { // ----, --.-, ****
		return true
	}
	return noValueWords[strings.ToLower(string(b))]
}
