package vector

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// DifferenceUnit is the unit of a difference of two values in unit u.
func DifferenceUnit(u quantity.Unit) quantity.Unit {
	if u.Kind() != quantity.KindTemperature {
		return u
	}
	if u == u.Kind().Unit("°F") {
		return quantity.KindTemperatureDifference.Unit("°F")
	}
	return quantity.KindTemperatureDifference.Shown()
}

// UnitOf reads a unit as it stands behind the name of a column: "km/h", or with
// its kind where the spelling means several, "K, temperature difference". °C
// and °F alone are temperatures; assumed tells that the other reading was
// passed over.
func UnitOf(text string) (u quantity.Unit, assumed bool, err error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return quantity.Unit{}, false, nil
	}
	symbol, kind, stated := strings.Cut(text, ",")
	symbol, kind = strings.TrimSpace(symbol), strings.TrimSpace(kind)
	if stated {
		if k, known := kindsByName[kind]; known {
			u, err := quantity.Lookup(k, symbol)
			return u, false, err
		}
		return u, false, fmt.Errorf("%q: %q is no kind of quantity; there are %v", text, kind, quantity.Kinds())
	}
	found := quantity.FindUnits(symbol)
	temperature := quantity.KindTemperature
	switch {
	case len(found) == 0:
		return u, false, fmt.Errorf("%q is no unit that is known", text)
	case len(found) == 1:
		return found[0], false, nil
	case found[0] == temperature.Unit("°C") || found[0] == temperature.Unit("°F"):
		return found[0], true, nil
	}
	var choices []string
	for _, u := range found {
		choices = append(choices, fmt.Sprintf("%q", symbol+", "+u.Kind().String()))
	}
	return u, false, fmt.Errorf("%q is a unit of several kinds; write %s", text, strings.Join(choices, " or "))
}

// kindsByName finds a kind by the name under which it is written to files.
var kindsByName = func() map[string]quantity.Kind {
	all := map[string]quantity.Kind{}
	for _, k := range quantity.Kinds() {
		all[k.String()] = k
	}
	return all
}()

// Written is the opposite of UnitOf.
func Written(u quantity.Unit) string {
	s := u.Spelling()
	if s == "" && u.Kind() == quantity.KindNumber {
		return ""
	}
	if read, _, err := UnitOf(s); err == nil && read == u {
		return s
	}
	return s + ", " + u.Kind().String()
}

// SplitHeader takes the unit off a name: "intake (°C)".
func SplitHeader(header string) (name, unit string) {
	header = strings.TrimSpace(header)
	if i := strings.LastIndex(header, " ("); i > 0 && strings.HasSuffix(header, ")") {
		if inner := header[i+2 : len(header)-1]; len(quantity.FindUnits(inner)) > 0 || strings.Contains(inner, ",") {
			return header[:i], inner
		}
	}
	return header, ""
}
