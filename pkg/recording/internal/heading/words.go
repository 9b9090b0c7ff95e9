package heading

import (
	"slices"
	"strings"
)

// IsExhaust reports whether a name is that of a channel in the exhaust.
func IsExhaust(name string) bool {
	return slices.ContainsFunc(Words(name), func(w string) bool {
		return w == "catalyst" || w == "exhaust" || w == "egt" || w == "cat" || w == "manifold"
	})
}

// Words splits a header name into lower-case words: "ENGINE_RPM ()",
// "cycMps" and "Air temp." become [engine rpm], [cyc mps], [air temp].
func Words(name string) []string {
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

// EngineParameters reports whether the names of columns are those of an engine
// control unit's diagnosis.
func EngineParameters(names []string) bool {
	var rotation, coolant, more bool
	for _, n := range names {
		for _, w := range Words(n) {
			switch w {
			case "rpm":
				rotation = true
			case "coolant":
				coolant = true
			case "throttle", "load", "manifold", "timing":
				more = true
			}
		}
	}
	return rotation && coolant && more
}

// NamesChannels reports whether a name may be that of a column that says which
// channel a row belongs to.
func NamesChannels(name string) bool {
	return slices.ContainsFunc(Words(name), func(w string) bool {
		switch w {
		case "sensor", "channel", "name", "signal", "id", "parameter", "pid", "variable", "kanal", "probe", "ch", "series":
			return true
		}
		return false
	})
}
