package quantity_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// published holds every unit of the table with its factor to SI as printed in
// NIST SP 811 (2008), appendix B.8, to the digits there, and with the
// spellings that a person or a file may use. Decimal multiples are those of
// the SI brochure, 9th edition, table 7; bar, litre, tonne, degree, minute,
// hour, day: table 8. Where B.8 has no line, the remark says why the value is
// right.
var published = []struct {
	kind      Kind
	symbol    string
	factor    float64
	spellings string
}{
	{KindSpeed, "km/h", 2.777778e-1, "km/h|kmh|KMH|km/hr|kph|KPH"},
	{KindSpeed, "m/s", 1, "m/s|M/S|m/sec|mps|m s⁻¹|m·s-1"},
	{KindSpeed, "mph", 4.4704e-1, "mph|MPH|mi/h|miles/h"},
	{KindSpeed, "kn", 5.144444e-1, "kn|kt|kts|knots|Knots"},
	{KindAcceleration, "m/s²", 1, "m/s²|m/s2|m/s^2|m s⁻²"},
	{KindAcceleration, "g", 9.80665, "g|G"},
	{KindLength, "m", 1, "m|metre|Meters"},
	{KindLength, "mm", 1e-3, "mm|MM"},
	{KindLength, "cm", 1e-2, "cm"},
	{KindLength, "km", 1e3, "km"},
	{KindLength, "in", 2.54e-2, `in|inch|inches|"|″|in.`},
	{KindLength, "ft", 3.048e-1, "ft|feet|ft.|'"},
	{KindLength, "mi", 1.609344e3, "mi|mile|miles"},
	{KindAngle, "°", 1.745329e-2, "°|deg|degrees|º"},
	{KindAngle, "rad", 1, "rad"},
	{KindAngle, "1e-7°", 1.745329e-9, "1e-7°|1e-7 deg"},                          // a decimal part of the degree
	{KindAngle, "1e-6°", 1.745329e-8, "1e-6°|microdegree|microdegrees|microdeg"}, // another
	{KindPressure, "hPa", 100, "hPa|hpa|mbar|mb|millibar"},
	{KindPressure, "Pa", 1, "Pa|pa"},
	{KindPressure, "kPa", 1000, "kPa|KPA"},
	{KindPressure, "MPa", 1e6, "MPa"},
	{KindPressure, "mPa", 1e-3, "mPa"},
	{KindPressure, "bar", 1e5, "bar|Bar"},
	{KindPressure, "atm", 1.01325e5, "atm"},
	{KindPressure, "inHg", 3.386389e3, `inHg|in Hg|in. Hg|inHG|"Hg|inches Hg`},
	{KindPressure, "mmHg", 1.333224e2, "mmHg|mm Hg|mmhg|MMHG"},
	{KindPressure, "Torr", 1.333224e2, "Torr|torr"},
	{KindPressure, "psi", 6.894757e3, "psi|PSI|psia|lbf/in²|lb/sq.in."},
	{KindPressure, "kgf/cm²", 9.80665e4, "kgf/cm²|kgf/cm2|kp/cm2|kg/cm²"},
	{KindPressure, "mmH₂O", 9.80665, "mmH2O|mm H₂O"},
	{KindPressure, "inH₂O", 2.490889e2, "inH2O|in H2O"},
	{KindRelativeHumidity, "%", 0.01, "%|%RH|% rh|RH|% r.F."},
	{KindRelativeHumidity, "1", 1, "fraction"},
	{KindRotationalSpeed, "rpm", 1.0 / 60, "rpm|RPM|1/min|/min|min-1|min⁻¹|r/min|U/min|tr/min"}, // a count each minute
	{KindRotationalSpeed, "1/s", 1, "1/s|s⁻¹|Hz|rps"},
	{KindDensity, "kg/m³", 1, "kg/m³|kg/m3|kg/m^3|g/l|g/L"},
	{KindDensity, "g/cm³", 1e3, "g/cm³|g/cm3"},
	{KindDensity, "g/m³", 1e-3, "g/m3"},
	{KindDensity, "lb/ft³", 1.601846e1, "lb/ft3|lb/cu ft"},
	{KindVoltage, "V", 1, "V|volt|Volts"},
	{KindVoltage, "mV", 1e-3, "mV"},
	{KindVoltage, "µV", 1e-6, "µV|μV|uV"},
	{KindPower, "kW", 1e3, "kW|KW|kw"},
	{KindPower, "W", 1, "W|w"},
	{KindPower, "MW", 1e6, "MW"},
	{KindPower, "mW", 1e-3, "mW"},
	{KindPower, "hp", 7.456999e2, "hp|h.p."}, // horsepower (550 ft·lbf/s)
	{KindPower, "PS", 7.354988e2, "PS|ps|ch|pk|cv"},
	{KindArea, "m²", 1, "m²|m2|sq m"},
	{KindArea, "cm²", 1e-4, "cm²|cm2"},
	{KindArea, "mm²", 1e-6, "mm²|mm2"},
	{KindArea, "in²", 6.4516e-4, "in²|in2|sq in"},
	{KindArea, "ft²", 9.290304e-2, "ft²|ft2|sq ft"},
	{KindVolume, "L", 1e-3, "L|l|litre|Liter"},
	{KindVolume, "cm³", 1e-6, "cm³|cm3|cc|ccm|ml|mL|CC"},
	{KindVolume, "m³", 1, "m³|m3"},
	{KindVolume, "in³", 1.638706e-5, "in³|in3|cu in|cu. in.|cui|CID|cubic inches"},
	{KindMass, "kg", 1, "kg"},
	{KindMass, "g", 1e-3, "g"},
	{KindMass, "t", 1e3, "t|tonne"},
	{KindMass, "lb", 4.535924e-1, "lb|lbs|pounds"},
	{KindTorque, "N·m", 1, "N·m|N m|Nm|N.m|NM"},
	{KindTorque, "daN·m", 10, "daN m|mdaN"},
	{KindTorque, "kgf·m", 9.80665, "kgf·m|kgf m|kg m|mkg|kpm"},
	{KindTorque, "lbf·ft", 1.355818, "lbf·ft|lbf ft|lb ft|lb-ft|ft lb|ft-lb|ft lbf|LB FT"},
	{KindTorque, "lbf·in", 1.129848e-1, "lbf in|lb-in|in lb"},
	{KindEnergy, "kJ", 1e3, "kJ"},
	{KindEnergy, "J", 1, "J"},
	{KindEnergy, "MJ", 1e6, "MJ"},
	{KindEnergy, "mJ", 1e-3, "mJ"},
	{KindEnergy, "Wh", 3.6e3, "Wh|W h"},
	{KindEnergy, "kWh", 3.6e6, "kWh|kW h"},
	{KindForce, "N", 1, "N|newton"},
	{KindForce, "kN", 1e3, "kN"},
	{KindForce, "kgf", 9.80665, "kgf|kp"},
	{KindForce, "lbf", 4.448222, "lbf"},
	{KindMassFlow, "g/s", 1e-3, "g/s"},
	{KindMassFlow, "kg/s", 1, "kg/s"},
	{KindMassFlow, "kg/h", 1 / 3.6e3, "kg/h"},
	{KindMassFlow, "lb/min", 7.559873e-3, "lb/min"},
	{KindVolumeFlow, "L/s", 1e-3, "L/s|l/s"},
	{KindVolumeFlow, "m³/s", 1, "m³/s|m3/s"},
	{KindVolumeFlow, "m³/h", 1 / 3.6e3, "m³/h|m3/h"},
	{KindVolumeFlow, "L/min", 1e-3 / 60, "L/min"},
	{KindVolumeFlow, "cfm", 4.719474e-4, "cfm|CFM|ft³/min|cu ft/min"},
	{KindDuration, "s", 1, "s|sec|seconds"},
	{KindDuration, "min", 60, "min|minutes"},
	{KindDuration, "h", 3600, "h|hours|hr"},
	{KindDuration, "d", 86400, "d|day|days"},
	{KindDuration, "ms", 1e-3, "ms|msec"},
	{KindDuration, "µs", 1e-6, "µs|us"},
	{KindClockDrift, "s/day", 1 / 8.64e4, "s/day|s/d"},
	{KindClockDrift, "s/h", 1 / 3.6e3, "s/h"},
	{KindClockDrift, "ppm", 1e-6, "ppm|PPM"},
	{KindShare, "%", 0.01, "%|percent"},
	{KindTemperatureDifference, "K", 1, "K|kelvin"},
	{KindTemperatureDifference, "°C", 1, "°C|degC|C"},
	{KindTemperatureDifference, "°F", 5.555556e-1, "°F|degF|F"}, // degree Fahrenheit, temperature interval
	{KindThermalInsulance, "m²·K/W", 1, "m²·K/W|m2 K/W"},
}

func TestUnitsPublished(t *testing.T) {
	seen := map[Unit]bool{}
	for _, p := range published {
		number := 2.5
		if p.kind == KindRelativeHumidity {
			number = 0.25 // no air holds 2.5 times saturation
		}
		for _, spelling := range strings.Split(p.spellings, "|") {
			si, u, err := Parse(p.kind, fmt.Sprint(number, " ", spelling))
			if err != nil {
				t.Errorf("%v: %v", p.kind, err)
				continue
			}
			seen[u] = true
			if u.Symbol() != p.symbol || u.Kind() != p.kind {
				t.Errorf("%q of %v: found %q of %v, want %q", spelling, p.kind, u.Symbol(), u.Kind(), p.symbol)
			}
			if math.Abs(si-number*p.factor) > 5e-7*number*p.factor {
				t.Errorf("%g %s: %v in SI, published %v", number, spelling, si, number*p.factor)
			}
			if back := u.FromSI(si); math.Abs(back-number) > 1e-15 {
				t.Errorf("%g %s comes back as %v", number, spelling, back)
			}
		}
	}
	// Nothing in the table goes without a published value. Temperatures are
	// checked by TestTemperatureUnits; plain numbers need none.
	for _, k := range Kinds() {
		for _, u := range k.Units() {
			if u.Symbol() != "1" && k != KindTemperature && !seen[u] {
				t.Errorf("%v of %v has no published value here", u, k)
			}
		}
	}
}

// The conventional millimetre of mercury is a column of 13595.1 kg/m³ under
// 9.80665 m/s², 133.322387415 Pa; the torr is the 760th part of 101325 Pa (SI
// brochure, 8th edition, table 8; NIST SP 811, B.8, footnote 12). The inch is
// 25.4 of the former.
func TestMercuryAndTorrDiffer(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64
	}{{"1 mmHg", 133.322387415}, {"1 inHg", 25.4 * 133.322387415}, {"760 Torr", 101325}, {"760 mmHg", 101325.0144354}} {
		if p, err := ParsePressure(c.text); err != nil || math.Abs(float64(p)-c.want) > 1e-12*c.want {
			t.Errorf("%s: %.10f Pa, %v; want %.10f", c.text, float64(p), err, c.want)
		}
	}
}

// Units of temperature give exactly what the constructors give, whatever the
// number; fixed points from NIST SP 811, B.8, as in TestTemperatureScales.
func TestTemperatureUnits(t *testing.T) {
	for _, c := range []struct {
		spellings string
		make      func(float64) Temperature
	}{
		{"°C|C|c|degC|deg C|deg. C|Celsius|degrees Celsius|ºC|℃|grad C|GrdC", Celsius},
		{"°F|F|degF|deg F|Fahrenheit|℉|DEGF", Fahrenheit},
		{"K|kelvin|k", Kelvin},
	} {
		for _, spelling := range strings.Split(c.spellings, "|") {
			u := KindTemperature.Unit(spelling)
			for x := -40.0; x < 700; x += 0.37 {
				want := c.make(x).Kelvin()
				if got := u.ToSI(x); got != want {
					t.Fatalf("%v %s: %v K, want %v K", x, spelling, got, want)
				}
			}
		}
	}
	if k := KindTemperature.Unit("°F").ToSI(212); math.Abs(k-373.15) > 1e-10 {
		t.Errorf("212 °F: %v K", k)
	}
	if f := KindTemperature.Unit("degF").FromSI(233.15); math.Abs(f+40) > 1e-10 {
		t.Errorf("233.15 K: %v °F", f)
	}
	factor, offset := Scale(KindTemperature.Unit("°C"), KindTemperature.Unit("°F"))
	if factor != 1.8 || offset != 32 {
		t.Errorf("°C to °F: %v·x + %v", factor, offset)
	}
	factor, offset = Scale(KindTemperatureDifference.Unit("K"), KindTemperatureDifference.Unit("°F"))
	if factor != 1.8 || offset != 0 {
		t.Errorf("K to °F of difference: %v·x + %v", factor, offset)
	}
	factor, offset = Scale(KindTemperature.SI(), KindTemperature.Shown())
	if factor != 1 || offset != -273.15 {
		t.Errorf("K to °C: %v·x + %v", factor, offset)
	}
}

// A reading that holds two meanings is refused with the choice; so is every
// way to write it.
func TestAmbiguousUnitsAreRefused(t *testing.T) {
	for _, c := range []struct {
		kind Kind
		text string
		want []string
	}{
		{KindPower, "80 bhp", []string{"hp (mechanical", "PS (metric"}},
		{KindPower, "80 BHP", []string{"hp (mechanical", "PS (metric"}},
		{KindPower, "80 HP", []string{"hp (mechanical", "PS (metric"}},
		{KindPower, "80 Hp", []string{"hp (mechanical", "PS (metric"}},
		{KindPower, "8 CV", []string{"PS (metric", "tax"}},
		{KindPower, "5 mw", []string{"MW or mW"}},
		{KindPressure, "5 MPA", []string{"MPa or mPa"}},
		{KindPressure, "5 psig", []string{"absolute"}},
		{KindClockDrift, "2 %", []string{"ppm"}},
		{KindTorque, "122 J", []string{`"J" is not a unit of torque`}},
		{KindEnergy, "122 N m", []string{`not a unit of energy`}},
		{KindTemperature, "80 ?C", []string{"not a unit"}},
	} {
		_, u, err := Parse(c.kind, c.text)
		if err == nil {
			t.Errorf("%s is read in %v", c.text, u)
			continue
		}
		for _, want := range c.want {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v; want %q in it", c.text, err, want)
			}
		}
	}
}

// What a bare number may have meant: what is usual at a car and in the air
// (common practice, no source). Nothing is assumed.
func TestMissingUnitIsSuggested(t *testing.T) {
	for _, c := range []struct {
		kind Kind
		text string
		want string
	}{
		{KindPressure, "760", `did you mean "760 mmHg"?`},
		{KindPressure, "29.92", `did you mean "29.92 inHg"?`},
		{KindPressure, "1013", `did you mean "1013 hPa"?`},
		{KindPressure, "14.7", `did you mean "14.7 psi"?`},
		{KindPressure, "101.3", `did you mean "101.3 kPa"?`},
		{KindPressure, "101325", `did you mean "101325 Pa"?`},
		{KindPressure, "1.013", `did you mean "1.013 bar"?`},
		{KindPressure, "626", `did you mean "626 hPa" or "626 mmHg"?`},
		{KindTemperature, "82", `did you mean "82 °C" or "82 °F"?`},
		{KindTemperature, "180", `did you mean "180 °F"?`},
		{KindTemperature, "355", `did you mean "355 K"?`},
		{KindTemperature, "-5", `did you mean "-5 °C" or "-5 °F"?`},
		{KindTemperatureDifference, "30", `did you mean "30 K" or "30 °F"?`},
		{KindSpeed, "90", `did you mean "90 km/h" or "90 mph"?`},
		{KindPower, "60000", `did you mean "60000 W"?`},
		{KindVolume, "1598", `did you mean "1598 cm³"?`},
		{KindVolume, "97.5", `did you mean "97.5 in³"?`},
		{KindVolume, "1.6", `did you mean "1.6 L"?`},
		{KindTorque, "12.4", `did you mean "12.4 kgf·m"?`},
		{KindRotationalSpeed, "5500", `did you mean "5500 rpm"?`},
		{KindRelativeHumidity, "55", `did you mean "55 %"?`},
	} {
		x, u, err := Parse(c.kind, c.text)
		if err == nil || !math.IsNaN(x) || u != (Unit{}) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v %s: %v %v, %v; want an error with %s", c.kind, c.text, x, u, err, c.want)
		}
	}
	if _, _, err := Parse(KindPressure, "5e9"); err == nil || strings.Contains(err.Error(), "did you mean") {
		t.Errorf("5e9 is no pressure to guess at: %v", err)
	}
}

// A suggestion, an example and every shown value can be typed back.
func TestWhatIsShownCanBeTyped(t *testing.T) {
	for _, k := range Kinds() {
		for _, u := range k.Units() {
			if back, err := Lookup(k, u.Spelling()); err != nil || back != u {
				t.Errorf("%v of %v, written %q, is read as %v, %v", u, k, u.Spelling(), back, err)
			}
			if u.Symbol() == "1" {
				continue
			}
			text := Format(u.ToSI(12.25), u, 6)
			si, back, err := Parse(k, text)
			if err != nil || back != u || math.Abs(si-u.ToSI(12.25)) > 1e-12*math.Abs(si) {
				t.Errorf("%v: %q is read as %v in %v, %v", k, text, si, back, err)
			}
		}
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		si     float64
		kind   Kind
		unit   string
		digits int
		want   string
	}{
		{355.15, KindTemperature, "°C", 5, "82 °C"},
		{273.15, KindTemperature, "K", 5, "273.15 K"},
		{1e6, KindPressure, "Pa", 5, "1000000 Pa"},
		{100812.34, KindPressure, "hPa", 5, "1008.1 hPa"},
		{math.Pi / 2, KindAngle, "°", 4, "90°"},
		{0.55, KindRelativeHumidity, "%", 3, "55 %"},
		{0.55, KindRelativeHumidity, "fraction", 3, "0.55"},
		{2e-5, KindLength, "m", 3, "2e-05 m"},
		{math.NaN(), KindSpeed, "km/h", 3, "unknown"},
	} {
		if got := Format(c.si, c.kind.Unit(c.unit), c.digits); got != c.want {
			t.Errorf("%v: %q, want %q", c.si, got, c.want)
		}
	}
	if got := Format(1.25, KindNumber.SI(), 3); got != "1.25" {
		t.Errorf("a plain number: %q", got)
	}
}

// The spellings that headers of loggers' exports carry (common practice, no
// source), in the letter case and with the losses that they come with.
func TestFindUnits(t *testing.T) {
	for _, c := range []struct{ spelling, want string }{
		{"°C", "temperature °C, temperature difference °C"},
		{"?C", "temperature °C, temperature difference °C"},
		{"\ufffdF", "temperature °F, temperature difference °F"},
		{"â°C", "temperature °C, temperature difference °C"},
		{"Â°C", "temperature °C, temperature difference °C"},
		{"deg_C", "temperature °C, temperature difference °C"},
		{"KM/H", "speed km/h"},
		{"meters/second", "speed m/s"},
		{"KPA", "pressure kPa"},
		{"psi", "pressure psi"},
		{"mmhg", "pressure mmHg"},
		{"%", "relative humidity %, share %"},
		{"%RH", "relative humidity %"},
		{"fraction", "relative humidity 1, share 1"},
		{"g", "acceleration g, mass g"},
		{"1e-7°", "angle 1e-7°"},
		{"DEGREES", "angle °"},
		{"RPM", "rotational speed rpm"},
		{"msec", "duration ms"},
		{"", ""}, {"in", ""}, {"t", ""}, {"ch", ""}, {"N", ""}, {"HR", ""}, {"of", ""}, {"std", ""}, {"bhp", ""}, {"intake", ""},
	} {
		var found []string
		for _, u := range FindUnits(c.spelling) {
			found = append(found, u.Kind().String()+" "+u.Symbol())
		}
		if got := strings.Join(found, ", "); got != c.want {
			t.Errorf("%q: %s; want %s", c.spelling, got, c.want)
		}
	}
	if u := FindUnits("g", KindMass, KindVoltage); !slices.Equal(u, []Unit{KindMass.Unit("g")}) {
		t.Errorf("g among masses and voltages: %v", u)
	}
}

func TestUnitPanicsOnUnknownSpelling(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("furlong is a unit of length")
		}
	}()
	KindLength.Unit("furlong")
}

func FuzzParse(f *testing.F) { fuzzParse(f) }

func fuzzParse(f mutant.F) {
	for _, s := range []string{"82 °C", "1.5 1e-7°", "5", "5 %", "−3 N·m", "1e308 bar"} {
		for k := range 3 {
			f.Add(k, s)
		}
	}
	f.Fuzz(func(t *testing.T, k int, s string) {
		x, u, err := Parse(Kind(k), s)
		if (err != nil) != math.IsNaN(x) || math.IsInf(x, 0) || err == nil && u.Kind() != Kind(k) {
			t.Errorf("%v %q: %v %v with error %v", Kind(k), s, x, u, err)
		}
	})
}
