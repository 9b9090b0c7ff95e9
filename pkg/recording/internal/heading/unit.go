package heading

import (
	"regexp"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// bracketed matches a unit in brackets, or after a slash or comma, at the end
// of a name.
var bracketed = regexp.MustCompile(`^(.*?)\s*(?:\(([^()]*)\)|\[([^\[\]]*)\]|\{([^{}]*)\})\s*$`)

// CutUnit splits a header into name and unit: "Air [°C]", "v / km/h",
// "speed_kmh", "T1 °C". The unit is empty where there is none.
func CutUnit(header string) (name, found string, u *layout.Unit) {
	header = strings.TrimSpace(header)
	if k, ok := layout.LookUpUnit(header); ok && len(header) > 1 {
		return header, header, k
	}
	if m := bracketed.FindStringSubmatch(header); m != nil {
		found = strings.TrimSpace(m[2] + m[3] + m[4])
		if k, ok := layout.LookUpUnit(found); ok {
			return strings.TrimSpace(m[1]), found, k
		}
		if found == "" || len(found) <= 8 {
			return strings.TrimSpace(m[1]), found, nil
		}
		return header, "", nil
	}
	if i := strings.LastIndexByte(header, ' '); i > 0 && strings.Contains(header[i:], "/") { // "Speed km/h"
		if k, ok := layout.LookUpUnit(header[i:]); ok {
			return strings.TrimSpace(header[:i]), header[i+1:], k
		}
	}
	for _, sep := range []string{" / ", "/", ", ", " in "} {
		if i := strings.Index(header, sep); i > 0 {
			rest := header[i+len(sep):]
			content, _ := ContentOf(header[:i])
			if k, ok := layout.LookUpUnit(rest); ok && (len(rest) > 1 || content != "" && k.Fits(content) || k.Content == layout.HoldsTime && SuggestsTime(header[:i])) { // not "latitude N/S"
				return strings.TrimSpace(header[:i]), header[i+len(sep):], k
			}
		}
	}
	// The last word, if it is a unit and not the name itself. A single letter
	// counts only where the rest of the name asks for that kind of unit.
	words := strings.FieldsFunc(header, func(r rune) bool { return r == ' ' || r == '_' || r == '-' })
	if len(words) < 2 {
		if w := Words(header); len(w) >= 2 { // cycMps, speedKmh
			last := w[len(w)-1]
			if k, ok := layout.LookUpUnit(last); ok && len(last) > 1 {
				return header, header[len(header)-len(last):], k
			}
		}
		return header, "", nil
	}
	if len(words) > 2 { // "Air Deg C"
		if i := strings.LastIndex(header, words[len(words)-2]); i > 0 {
			if k, ok := layout.LookUpUnit(header[i:]); ok && k.Content == layout.HoldsTemperature {
				return strings.TrimRight(header[:i], " _-"), header[i:], k
			}
		}
	}
	last := words[len(words)-1]
	rest := strings.TrimRight(strings.TrimSuffix(header, last), " _-")
	k, ok := layout.LookUpUnit(last)
	if !ok {
		return header, "", nil
	}
	content, _ := ContentOf(rest)
	if content == layout.HoldsSpeed && strings.EqualFold(last, "ms") {
		return rest, last, layout.MetrePerS
	}
	switch {
	case k.Content == layout.HoldsTime && !SuggestsTime(rest):
		return header, "", nil
	case len(last) > 1 || k.Fits(content):
		return rest, last, k
	case k.Content == layout.HoldsTime:
		return rest, last, k
	}
	return header, "", nil
}
