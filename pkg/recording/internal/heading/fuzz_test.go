package heading

import (
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
)

// FuzzHeading: the name of a column that a unit is cut from is part of the
// header, and the unit is one that its own name finds again.
func FuzzHeading(f *testing.F) { fuzzHeading(f) }

func fuzzHeading(f mutant.F) {
	for _, s := range []string{"T1 (°C)", "speed_kmh", "Temp [°F]", "Speed km/h", "T", "CH1 carb throat", "Ansaugluft / °C", "alt (m)", "elapsed (s)", "((", "°", "0.1 °C"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		name, found, u := CutUnit(s)
		if u != nil && found == "" || len(name) > 4*len(s)+4 {
			t.Fatalf("%q is cut into %q and %q, unit %v", s, name, found, u)
		}
		_, _ = ContentOf(s)
		for _, w := range Words(s) {
			if w == "" || strings.ContainsAny(w, " \t") {
				t.Fatalf("%q has the word %q", s, w)
			}
		}
		if v := IntervalIn(s); v < 0 {
			t.Fatalf("%q tells of an interval of %v s", s, v)
		}
	})
}
