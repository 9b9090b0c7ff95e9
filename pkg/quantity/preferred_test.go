package quantity_test

import (
	"testing"

	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// NIST SP 811 (2008), B.8: 1 K is 1.8 °F of difference; 0 °C is 32 °F.
func TestPreferred(t *testing.T) {
	var usual Preferred
	if s := usual.Say(KindTemperatureDifference, "%+.1f", -12); s != "−12.0 K" {
		t.Error(s)
	}
	p := Preferred{Temperature: KindTemperature.Unit("°F"), Speed: KindSpeed.Unit("mph")}.Matching()
	if s := p.Say(KindTemperatureDifference, "%.1f", 50); s != "90.0 °F" {
		t.Error(s)
	}
	if s := p.Say(KindTemperature, "%.1f", Celsius(20).Kelvin()); s != "68.0 °F" {
		t.Error(s)
	}
	if s := p.Span(KindSpeed, "%.0f", 0, float64(100*KilometrePerHour)); s != "0 to 62 mph" {
		t.Error(s)
	}
	if u := p.Of(KindPressure); u != KindPressure.Shown() {
		t.Error(u)
	}
}

// Typed quantities are written in what is chosen, and in the usual units as
// their own String methods do; the first that says counts.
func TestPreferredText(t *testing.T) {
	fahrenheit := Preferred{Temperature: KindTemperature.Unit("°F"), Pressure: KindPressure.Unit("inHg")}
	for _, c := range []struct {
		units Preferred
		value any
		want  string
	}{
		{Preferred{}, Celsius(20), Celsius(20).String()},
		{Preferred{}, KelvinDifference(3), KelvinDifference(3).String()},
		{Preferred{}, 100 * KilometrePerHour, (100 * KilometrePerHour).String()},
		{Preferred{}, 962.1 * Hectopascal, (962.1 * Hectopascal).String()},
		{fahrenheit.Or(Preferred{}), Celsius(20), "68.0 °F"},
		{fahrenheit.Or(Preferred{}), KelvinDifference(3), "5.4 °F"},
		{fahrenheit, 1013.25 * Hectopascal, "29.92 inHg"},
		{Preferred{}.Or(Preferred{Speed: KindSpeed.Unit("mph")}), 60 * MilePerHour, "60.0 mph"},
		{Preferred{Speed: KindSpeed.Unit("km/h")}.Or(Preferred{Speed: KindSpeed.Unit("mph")}), 60 * KilometrePerHour, "60.0 km/h"},
	} {
		if got, ok := c.units.Text(c.value); !ok || got != c.want {
			t.Errorf("%v: %q, want %q", c.value, got, c.want)
		}
	}
	if text, ok := fahrenheit.Text(3.0); ok {
		t.Errorf("a plain number became %q", text)
	}
}
