package campaign_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
)

func TestOpenReadsEverything(t *testing.T) {
	c, err := campaign.Open(folder(t, valid))
	if err != nil {
		t.Fatal(err)
	}
	e := c.Engine
	near := func(name string, got, want float64) {
		if math.Abs(got-want) > 1e-9*math.Abs(want) {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
	near("displacement", float64(e.Displacement), 1598e-6)
	near("power", float64(e.RatedPower), 60e3)
	near("speed", float64(e.RatedPowerSpeed), 5500.0/60)
	near("torque", float64(e.RatedTorque), 122)
	near("thermostat", e.Thermostat.Celsius(), 82)
	near("mass", float64(c.Car.Mass), 1050)
	near("offset", c.Devices[0].Channels[1].Calibration.Offset.Kelvins(), -0.6)
	near("clock", c.Entries[0].Files[1].ClockOffset, 12.5)
	if c.Devices[0].Layout.Zone != "UTC" || len(c.Entries) != 1 || c.Entries[0].Weather.Humidity != 0.55 {
		t.Errorf("read %+v", c)
	}
}

// Units by definition, NIST SP 811 B.8: 1 hp (550 ft·lbf/s) = 745.6999 W,
// metric horsepower 735.49875 W, °F = 5/9 K.
func TestUnits(t *testing.T) {
	text := with(t, `"60 kW"`, `"100 hp"`)
	text = strings.Replace(text, `"82 degC"`, `"180 °F"`, 1)
	text = strings.Replace(text, `"122 N m"`, `"100 lbf ft"`, 1)
	text = strings.Replace(text, `"1598 cm3"`, `"97.5 in3"`, 1)
	c, err := campaign.Open(folder(t, text))
	if err != nil {
		t.Fatal(err)
	}
	if p := float64(c.Engine.RatedPower); math.Abs(p-74569.99) > 0.005 {
		t.Errorf("100 hp = %v W", p)
	}
	if k := c.Engine.Thermostat.Celsius(); math.Abs(k-82.2222) > 1e-4 {
		t.Errorf("180 °F = %v °C", k)
	}
}

// A station pressure in every unit that people read: 1 inHg = 3386.389 Pa,
// 1 mmHg = 133.3224 Pa, 1 psi = 6894.757 Pa (NIST SP 811, B.8).
func TestUnitsOfPressure(t *testing.T) {
	for text, want := range map[string]float64{
		"29.92 inHg": 29.92 * 3386.389, "29.92 in. Hg": 29.92 * 3386.389, "760 mmHg": 760 * 133.3224, "14.7 psi": 14.7 * 6894.757,
		"1013 mbar": 101300, "101.3 kPa": 101300, "1.013 bar": 101300,
	} {
		c, err := campaign.Open(folder(t, with(t, `"1008 hPa"`, `"`+text+`"`)))
		if err != nil {
			t.Error(err)
			continue
		}
		if p := float64(c.Entries[0].Weather.Pressure); math.Abs(p-want) > 5e-7*want {
			t.Errorf("%s: %v Pa, want %v", text, p, want)
		}
	}
}

// Every problem carries its line and key and says what to do.
func TestProblems(t *testing.T) {
	for _, c := range []struct {
		what, old, fresh string
		at               string // where the problem stands, if not at old
		further          int    // and how many lines further down
		key              string
		says             []string
	}{
		{"misspelt key", `mass = "1050 kg"`, `maas = "1050 kg"`, "", 0, "car.maas", []string{`did you mean "mass"`, "allowed are"}},
		{"missing key", `name = "demo saloon"`, "", "[car]", 0, "car.name", []string{"missing", "name = "}},
		{"no unit", `mass = "1050 kg"`, `mass = 1050`, "", 0, "car.mass", []string{`"1050 kg"`, "kg, g, t, lb", `did you mean "1050 kg" or "1050 lb"?`}},
		{"text without unit", `"82 degC"`, `"180"`, "", 0, "engine.thermostat", []string{"the unit is missing", `did you mean "180 °F"?`}},
		{"pressure without unit", `pressure = "1008 hPa"`, `pressure = 760`, "", 0, "drive[1].pressure", []string{`did you mean "760 mmHg"?`}},
		{"horsepower of either kind", `"60 kW"`, `"80 HP"`, "", 0, "engine.rated-power", []string{"hp (mechanical", "PS (metric"}},
		{"brake horsepower", `"60 kW"`, `"80 bhp"`, "", 0, "engine.rated-power", []string{"hp (mechanical", "PS (metric"}},
		{"wrong unit", `"1050 kg"`, `"1050 hPa"`, "", 0, "car.mass", []string{`"hPa" is not a unit of mass`}},
		{"decimal comma", `"81.5 mm"`, `"81,5 mm"`, "", 0, "engine.stroke", []string{"decimal point"}},
		{"slipped digit", `"79 mm"`, `"790 mm"`, "", 0, "engine.bore", []string{"outside what is possible", "mm"}},
		{"displacement does not fit", `"1598 cm3"`, `"1300 cm3"`, "[engine]", 0, "engine", []string{"1598 cm³"}},
		{"unknown choice", `"constant-depression"`, `"constant-depresion"`, "", 0, "engine.carburettor", []string{`did you mean "constant-depression"`, "fixed-jet"}},
		{"unknown role", `"2" = "intake"`, `"2" = "inntake"`, "", 0, "device[1].channels.2", []string{`did you mean "intake"`, "top-tank"}},
		{"role twice", `"2" = "intake"`, `"2" = "ambient"`, "", 0, "device[1].channels.2", []string{"both play"}},
		{"calibration of no column", `"2" = { offset`, `"7" = { offset`, "", 0, "device[1].calibration.7", []string{`no column "7"`}},
		{"calibration typo", `uncertainty = 0.2 }`, `uncertanty = 0.2 }`, "", 0, "device[1].calibration.2.uncertanty", []string{`did you mean "uncertainty"`}},
		{"unknown configuration", `configuration = "open filters"`, `configuration = "open filter"`, "", 0, "drive[1].configuration", []string{`did you mean "open filters"`}},
		{"unknown device", `device = "phone"`, `device = "phon"`, "", 0, "drive[1].file[2].device", []string{`did you mean "phone"`}},
		{"missing file", `"open-1-a.csv"`, `"open-1-b.csv"`, "", 0, "drive[1].file[1].path", []string{"there is no file", `did you mean "open-1-a.csv"`}},
		{"absolute path", `"open-1-a.csv"`, `"/etc/passwd"`, "", 0, "drive[1].file[1].path", []string{"absolute path"}},
		{"path out of the folder", `"open-1-a.csv"`, `"../open-1-a.csv"`, "", 0, "drive[1].file[1].path", []string{"leaves the campaign's folder"}},
		{"time zone", `"UTC"`, `"CET"`, "", 0, "device[1].time-zone", []string{"+01:00"}},
		{"two brackets", "[[drive]]", "[drive]", "", 0, "drive", []string{"[[drive]]"}},
		{"not TOML", `name = "phone"`, `name = phone`, "", 0, "", []string{"quotation marks"}},
		{"key twice", `mass = "1050 kg"`, "mass = \"1 t\"\nmass = \"2 t\"", "", 1, "", []string{"mass"}},
		{"layout key", `layout = "auto"`, `layout = { date_ordr = "dmy" }`, "", 0, "device[1].layout.date_ordr", []string{`did you mean "date_order"`}},
		{"two pressures", `humidity = "55 %"`, "humidity = \"55 %\"\nqnh = \"1020 hPa\"", "", 1, "drive[1].qnh", []string{"either pressure"}},
		{"humidity as number", `humidity = "55 %"`, `humidity = 55`, "", 0, "drive[1].humidity", []string{`"55 %"`}},
		{"sync on one", `clock-offset = "12.5 s"`, `sync = ["09:00:05"]`, `path = "open-1-phone.csv"`, -1, "drive[1].file[2].sync", []string{"at least two"}},
	} {
		t.Run(c.what, func(t *testing.T) {
			path := folder(t, with(t, c.old, c.fresh))
			_, err := campaign.Open(path)
			var ps campaign.Problems
			if !errors.As(err, &ps) {
				t.Fatalf("error %v, want Problems", err)
			}
			p := ps[0]
			at := c.at
			if at == "" {
				at = c.old
			}
			line := 1 + strings.Count(valid[:strings.Index(valid, at)], "\n") + c.further
			if p.Line != line || (c.key != "" && p.Key != c.key) || p.File != path {
				t.Errorf("%s:%d %s, want line %d, key %s\n%v", p.File, p.Line, p.Key, line, c.key, err)
			}
			for _, s := range c.says {
				if !strings.Contains(err.Error(), s) {
					t.Errorf("%q does not say %q", err, s)
				}
			}
			if strings.Contains(err.Error(), "%!") {
				t.Errorf("bad formatting: %v", err)
			}
		})
	}
}

// What CalibrationLine writes is read back as it was.
func TestCalibrationLine(t *testing.T) {
	want := sensor.Calibration{Offset: quantity.KelvinDifference(-0.612), Gain: 1.01234, GainUncertainty: 0.002, About: quantity.Celsius(55.25),
		Uncertainty: quantity.KelvinDifference(0.087), Note: `one cup, "3 May"`}
	c, err := campaign.Open(folder(t, with(t, `"2" = { offset = -0.6, uncertainty = 0.2 }`, campaign.CalibrationLine("2", want))))
	if err != nil {
		t.Fatal(err)
	}
	if got := c.Devices[0].Channels[1].Calibration; got.String() != want.String() || got.GainUncertainty != want.GainUncertainty || got.Offset != want.Offset {
		t.Errorf("read %v, wrote %v", got, want)
	}
}

func TestSeveralProblemsAtOnce(t *testing.T) {
	text := with(t, `mass = "1050 kg"`, `maas = "1050 kg"`)
	text = strings.Replace(text, "cylinders = 4", `cylinders = "four"`, 1)
	text = strings.Replace(text, `"4" = "top-tank"`, `"4" = "toptank"`, 1)
	_, err := campaign.Open(folder(t, text))
	var ps campaign.Problems
	if !errors.As(err, &ps) || len(ps) != 3 {
		t.Fatalf("got %v, want three problems", err)
	}
	for i, line := range []int{3, 6, 31} {
		if ps[i].Line != line {
			t.Errorf("problem %d in line %d, want %d", i, ps[i].Line, line)
		}
	}
}

func TestOpenWithoutFile(t *testing.T) {
	dir := t.TempDir()
	for _, path := range []string{dir + "/none.toml", dir} {
		if _, err := campaign.Open(path); err == nil || !strings.Contains(err.Error(), "campaign.Draft") {
			t.Errorf("Open(%s): %v", path, err)
		}
	}
}
