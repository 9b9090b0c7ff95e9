package quantity_test

import (
	"testing"

	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// NIST SP 811 (2008), B.8: 1 K is 1.8 °F of difference; 0 °C is 32 °F.
func TestPreferred(t *testing.T) {
	var usual Preferred
	if s := usual.Say(KindTemperatureDifference, "%+.1f", -12); s != "-12.0 K" {
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
