package quantity_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// The SI values are worked from the factors of NIST SP 811 (2008), appendix B.8.
func TestParseKnownUnits(t *testing.T) {
	si := func(x float64, err error) float64 {
		if err != nil {
			t.Error(err)
		}
		return x
	}
	power := func(s string) float64 { x, err := ParsePower(s); return si(float64(x), err) }
	volume := func(s string) float64 { x, err := ParseVolume(s); return si(float64(x), err) }
	torque := func(s string) float64 { x, err := ParseTorque(s); return si(float64(x), err) }
	turn := func(s string) float64 { x, err := ParseRotationalSpeed(s); return si(float64(x), err) }
	pressure := func(s string) float64 { x, err := ParsePressure(s); return si(float64(x), err) }
	temperature := func(s string) float64 { x, err := ParseTemperature(s); return si(x.Kelvin(), err) }
	difference := func(s string) float64 { x, err := ParseTemperatureDifference(s); return si(float64(x), err) }
	flow := func(s string) float64 { x, err := ParseVolumeFlow(s); return si(float64(x), err) }
	for _, c := range []struct {
		text      string
		got, want float64
	}{
		{"60 kW", power("60 kW"), 60e3},
		{"82 PS", power("82 PS"), 82 * 7.354988e2},
		{"80hp", power("80hp"), 80 * 7.456999e2},
		{"1598 cm3", volume("1598 cm3"), 1598e-6},
		{"1598 cm³", volume(" 1598 cm³ "), 1598e-6},
		{"97.5 cu in", volume("97.5 cu in"), 97.5 * 1.638706e-5},
		{"1.6 L", volume("1.6 L"), 1.6e-3},
		{"122 N m", torque("122 N m"), 122},
		{"122 N·m", torque("122 N·m"), 122},
		{"90 lbf ft", torque("90 lbf ft"), 90 * 1.355818},
		{"12.4 kgf m", torque("12.4 kgf m"), 12.4 * 9.80665},
		{"5500 rpm", turn("5500 rpm"), 5500.0 / 60},
		{"5.5e3 1/min", turn("5.5e3 1/min"), 5500.0 / 60},
		{"1008 hPa", pressure("1008 hPa"), 100800},
		{"29.92 inHg", pressure("29.92 inHg"), 29.92 * 3.386389e3},
		{"760 mmHg", pressure("760 mmHg"), 760 * 1.333224e2},
		{"82 degC", temperature("82 degC"), 355.15},
		{"-40 °F", temperature("-40 °F"), 233.15},
		{"−40 °C", temperature("−40 °C"), 233.15},
		{"355 K", temperature("355 K"), 355},
		{"54 degF of difference", difference("54 degF"), 30},
		{"100 cfm", flow("100 cfm"), 100 * 4.719474e-4},
	} {
		if math.Abs(c.got-c.want) > 5e-7*math.Abs(c.want) {
			t.Errorf("%s: %v, want %v", c.text, c.got, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"", "does not begin with a number"},
		{"kW", "does not begin with a number"},
		{"60", "unit is missing"},
		{"60 kv", `"kv" is not a unit of power`},
		{"60 mw", "MW or mW"},
		{"60 MW h", "not a unit"},
		{"1,5 kW", "comma"},
		{"80 bhp", "metric"},
		{"1e999 kW", "usable number"},
		{"60 kW kW", "not a unit"},
	} {
		p, err := ParsePower(c.text)
		if !errors.Is(err, ErrSyntax) || !strings.Contains(err.Error(), c.want) || !math.IsNaN(float64(p)) {
			t.Errorf("%q: %v, %v; want NaN and an error with %q", c.text, float64(p), err, c.want)
		}
	}
	if v, err := ParseTemperature("82"); err == nil || v.IsValid() {
		t.Errorf("82 without unit: %v, %v", v, err)
	}
}

// Whatever parses is finite, and whatever does not says so beside a NaN.
func FuzzParsePressure(f *testing.F) { fuzzParsePressure(f) }

func fuzzParsePressure(f mutant.F) {
	for _, s := range []string{"1013 hPa", "-1e3 Pa", "1.2.3 bar", "− Pa", "9e", "1e+ bar", "٣ Pa"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := ParsePressure(s)
		if (err != nil) != math.IsNaN(float64(p)) {
			t.Errorf("%q: %v with error %v", s, float64(p), err)
		}
	})
}
