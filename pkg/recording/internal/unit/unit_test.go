package unit

import (
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// TestLookUp finds what files write, in any letter case and with what lost
// encodings leave of a degree sign. Values: NIST SP 811 (2008), B.8.
func TestLookUp(t *testing.T) {
	for text, want := range map[string]struct {
		kind quantity.Kind
		si   float64 // of 100 in the unit
	}{
		"°C": {quantity.KindTemperature, 373.15}, "Deg. C": {quantity.KindTemperature, 373.15}, "?c": {quantity.KindTemperature, 373.15},
		"Â°F": {quantity.KindTemperature, 310.9277777777778}, "K": {quantity.KindTemperature, 100},
		"KM/H": {quantity.KindSpeed, 27.77777777777778}, "mph": {quantity.KindSpeed, 44.704}, "kn": {quantity.KindSpeed, 51.44444444444444},
		"mbar": {quantity.KindPressure, 1e4}, "mmHg": {quantity.KindPressure, 13332.2387}, "psi": {quantity.KindPressure, 689475.7},
		"%": {quantity.KindShare, 1}, "%RH": {quantity.KindRelativeHumidity, 1}, "fraction": {quantity.KindRelativeHumidity, 100},
		"U/min": {quantity.KindRotationalSpeed, 100.0 / 60}, "g": {quantity.KindAcceleration, 980.665}, "ms": {quantity.KindDuration, 0.1},
		"ddmm.mmmm": {quantity.KindAngle, math.Pi / 180}, "1e-7°": {quantity.KindAngle, 1e-5 * math.Pi / 180},
	} {
		u, ok := LookUp(text)
		if !ok || u.Kind() != want.kind || math.Abs(u.SI(100)-want.si) > 2e-7*want.si {
			t.Errorf("%q: %v", text, u)
			continue
		}
		if again, _ := LookUp(text); again != u {
			t.Errorf("%q is two units", text)
		}
		if by, ok := LookUp(u.Name); want.kind != quantity.KindRelativeHumidity && (!ok || by != u) { // "%" alone is a share
			t.Errorf("%q is not found by its name %q", text, u.Name)
		}
	}
	for _, text := range []string{"", "front", "in", "* F", "·°C", "C D"} {
		if u, ok := LookUp(text); ok {
			t.Errorf("%q is taken for %s", text, u.Name)
		}
	}
}

// TestSI computes to the last bit what quantity computes.
func TestSI(t *testing.T) {
	for q, u := range known {
		for _, v := range []float64{-40, 0, 0.1, 21.7, 1e4} {
			if got, want := u.SI(v), q.ToSI(v); got != want {
				t.Errorf("%v %s: %v, want %v", v, u.Name, got, want)
			}
		}
	}
	if got, want := Celsius.Difference(12.3), 12.3; got != want {
		t.Errorf("a difference of %v °C is %v K", want, got)
	}
	if got := Fahrenheit.Difference(18); math.Abs(got-10) > 1e-12 {
		t.Errorf("a difference of 18 °F is %v K", got)
	}
	// 46° 30.25' north and 7° 15' west.
	if got, want := DegreeMinutes.SI(4630.25)*180/math.Pi, 46+30.25/60; math.Abs(got-want) > 1e-12 {
		t.Errorf("%v, want %v", got, want)
	}
	if got := DegreeMinutes.SI(-715) * 180 / math.Pi; math.Abs(got+7.25) > 1e-12 {
		t.Errorf("%v, want -7.25", got)
	}
}
