package heading

import (
	"regexp"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// bracketed matches a unit in brackets, or after a slash or comma, at the end
// of a name.
var bracketed = regexp.MustCompile(`^(.*?)\s*(?:\(([^()]*)\)|\[([^\[\]]*)\]|\{([^{}]*)\}|<([^<>]*)>)\s*$`)

// CutUnit splits a header into name and unit: "Air [°C]", "v / km/h",
// "speed_kmh", "T1 °C". The unit is empty where there is none.
func CutUnit(header string) (name, found string, u *unit.Unit) {
	header = strings.TrimSpace(header)
	if k, ok := unit.LookUp(header); ok && len(header) > 1 {
		return header, header, k
	}
	if m := bracketed.FindStringSubmatch(header); m != nil {
		found = strings.TrimSpace(m[2] + m[3] + m[4] + m[5])
		k, ok := unit.LookUp(found)
		if !ok && len(found) > 8 {
			return header, "", nil
		}
		return strings.TrimSpace(m[1]), found, k
	}
	for _, way := range []func(string) (string, string, *unit.Unit){cutSeparated, cutCapital, cutWords, cutLastWord} {
		if name, found, u = way(header); u != nil {
			return name, found, u
		}
	}
	return header, "", nil
}

// cutSeparated takes what stands behind a slash, a comma or "in" for a unit.
// A single letter is one only if the name asks for it ("latitude N/S" does not).
func cutSeparated(header string) (name, found string, u *unit.Unit) {
	if i := strings.LastIndexByte(header, ' '); i > 0 && strings.Contains(header[i:], "/") { // "Speed km/h"
		if k, ok := unit.LookUp(header[i:]); ok {
			return strings.TrimSpace(header[:i]), header[i+1:], k
		}
	}
	for _, sep := range []string{" / ", "/", ", ", " in "} {
		name, found, cut := strings.Cut(header, sep)
		if !cut || name == "" {
			continue
		}
		content, _ := ContentOf(name)
		if k, ok := unit.LookUp(found); ok && (len(found) > 1 || content != "" && content.Takes(k.Kind()) || k.Kind() == quantity.KindDuration && SuggestsTime(name)) {
			return strings.TrimSpace(name), found, k
		}
	}
	return "", "", nil
}

// nameParts splits a name at spaces, underscores and hyphens.
func nameParts(header string) []string {
	return strings.FieldsFunc(header, func(r rune) bool { return r == ' ' || r == '_' || r == '-' })
}

// cutCapital finds the unit that begins with the last capital letter of a name
// in one piece, which keeps its name: cycMps, speedKmh.
func cutCapital(header string) (name, found string, u *unit.Unit) {
	words := Words(header)
	if len(nameParts(header)) >= 2 || len(words) < 2 {
		return "", "", nil
	}
	last := words[len(words)-1]
	if k, ok := unit.LookUp(last); ok && len(last) > 1 {
		return header, header[len(header)-len(last):], k
	}
	return "", "", nil
}

// cutWords takes the last two words for a unit of temperature: "Air Deg C".
func cutWords(header string) (name, found string, u *unit.Unit) {
	words := nameParts(header)
	if len(words) <= 2 {
		return "", "", nil
	}
	if i := strings.LastIndex(header, words[len(words)-2]); i > 0 {
		if k, ok := unit.LookUp(header[i:]); ok && k.Kind() == quantity.KindTemperature {
			return strings.TrimRight(header[:i], " _-"), header[i:], k
		}
	}
	return "", "", nil
}

// cutLastWord takes the last word, if it is a unit and not the name itself. A
// single letter counts only where the rest of the name asks for that kind of
// unit.
func cutLastWord(header string) (name, found string, u *unit.Unit) {
	words := nameParts(header)
	if len(words) < 2 {
		return "", "", nil
	}
	last := words[len(words)-1]
	rest := strings.TrimRight(strings.TrimSuffix(header, last), " _-")
	k, ok := unit.LookUp(last)
	content, _ := ContentOf(rest)
	switch {
	case !ok:
		return "", "", nil
	case content == layout.HoldsSpeed && strings.EqualFold(last, "ms"):
		return rest, last, unit.MetrePerS
	case k.Kind() == quantity.KindDuration && SuggestsTime(rest), k.Kind() != quantity.KindDuration && (len(last) > 1 || content.Takes(k.Kind())):
		return rest, last, k
	}
	return "", "", nil
}
