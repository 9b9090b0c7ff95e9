package campaign_test

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// TestWetBulb takes the worked example of FAO Irrigation and Drainage Paper 56
// (1998), ch. 3, example 4 (from memory): an aspirated psychrometer at 87.9 kPa
// reads 25.6 °C dry and 19.5 °C wet; e°(25.6 °C) = 3.28 kPa and the actual
// vapour pressure is 1.91 kPa, each to its last printed digit.
func TestWetBulb(t *testing.T) {
	text := with(t, `humidity = "55 %"`, "wet-bulb = \"19.5 degC\"\nair-temperature = \"25.6 degC\"")
	text = strings.Replace(text, `"1008 hPa"`, `"87.9 kPa"`, 1)
	d, err := open(t, text).Drive("open filters, first run")
	if err != nil {
		t.Fatal(err)
	}
	lo, hi := 1.905/3.285, 1.915/3.275
	if h := float64(d.Weather.Humidity); !d.Weather.HumidityKnown || h < lo || h > hi {
		t.Errorf("relative humidity %.4f, want %.4f to %.4f", h, lo, hi)
	}
	if !strings.Contains(d.Weather.Source, "wet bulb 19.5 °C") || !strings.Contains(d.Weather.Source, "25.6 °C") {
		t.Errorf("source %q", d.Weather.Source)
	}
	// One kelvin of wet bulb is about 10 % there: e changes by 1.4 hPa for the
	// saturation curve and 0.6 hPa for the depression, of 32.8 hPa.
	if u := float64(d.Weather.HumidityUncertainty); u < 0.04 || u > 0.08 {
		t.Errorf("uncertainty %v", u)
	}
}

// TestWetBulbAtTheEdge keeps an uncertainty where the wet bulb cannot be
// lowered by its own, and refuses one that no air has.
func TestWetBulbAtTheEdge(t *testing.T) {
	for _, c := range []struct {
		wet, dry string
		says     string // of the error
	}{
		{"0.5", "2", ""},
		{"5", "20", "wet bulb"}, // air so dry does not exist
		{"-3", "2", "wet"},
	} {
		text := with(t, `humidity = "55 %"`, fmt.Sprintf("wet-bulb = %q\nair-temperature = %q", c.wet+" degC", c.dry+" degC"))
		d, err := open(t, text).Drive("open filters, first run")
		if c.says == "" {
			if err != nil || !(d.Weather.HumidityUncertainty > 0.05) {
				t.Errorf("%s/%s: %+v, %v", c.wet, c.dry, d.Weather, err)
			}
			continue
		}
		if err == nil || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), "campaign.toml:") {
			t.Errorf("%s/%s: error %v", c.wet, c.dry, err)
		}
	}
}

// barometerLog is a logger with a barometer at p hPa.
func barometerLog(p float64, unit string) string {
	logger, _ := logs(600)
	lines := strings.Split(strings.TrimSpace(logger), "\n")
	for i := range lines {
		switch {
		case i == 0:
			lines[i] += ",Barometer (" + unit + ")"
		case i%2 == 0:
			lines[i] += fmt.Sprintf(",%.2f", p+0.2)
		default:
			lines[i] += fmt.Sprintf(",%.2f", p-0.2)
		}
	}
	return strings.Join(lines, "\n") + "\n"
}

// TestBarometerChannel lets pressure and density follow the drive's own
// barometer. Dry air at 15 °C: 1.2250 kg/m³ at 1013.25 hPa and 1.1117 kg/m³ at
// the same temperature and 919.5 hPa (in proportion); US Standard Atmosphere
// 1976, table I.
func TestBarometerChannel(t *testing.T) {
	base := with(t, "pressure = \"1008 hPa\"\nhumidity = \"55 %\"\n", "humidity = \"0 %\"\naltitude = \"300 m\"\n")
	base = strings.Replace(base, `"4" = "top-tank"`, "\"4\" = \"top-tank\"\n\"5\" = \"barometer\"", 1)
	for _, c := range []struct {
		log           string
		pascal, kg_m3 float64
	}{
		{barometerLog(1013.25, "hPa"), 101325, 1.2250},
		{barometerLog(919.5, "mbar"), 91950, 1.2250 * 919.5 / 1013.25},
		{barometerLog(690, "mmHg"), 690 * 133.322, 1.2250 * 690 / 760}, // 760 mmHg are 1013.25 hPa
	} {
		path := folder(t, base)
		write(t, filepath.Dir(path), "open-1-a.csv", c.log)
		k, err := campaign.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		d, err := k.Drive("open filters, first run")
		if err != nil {
			t.Error(err)
			continue
		}
		p := d.Weather.Pressure
		if math.Abs(float64(p)-c.pascal) > 30 || !strings.Contains(d.Weather.Source, "the drive's barometer") {
			t.Errorf("pressure %v from %q, want %v Pa", p, d.Weather.Source, c.pascal)
		}
		rho, err := air.Density(p, quantity.Celsius(15), d.Weather.Humidity)
		if err != nil || math.Abs(float64(rho)-c.kg_m3) > 0.0005 {
			t.Errorf("density %v kg/m³, want %v (%v)", rho, c.kg_m3, err)
		}
		if !d.Has(drive.Barometer) {
			t.Errorf("roles %v", d.RoleList())
		}
	}
}

// TestDraftFindsTheBarometer gives the outside air's pressure its role, and no
// other pressure.
func TestDraftFindsTheBarometer(t *testing.T) {
	dir := t.TempDir()
	text := barometerLog(1008, "hPa")
	text = strings.ReplaceAll(strings.Replace(text, "Barometer (hPa)", "Barometer (hPa),Oil pressure (bar)", 1), "\n2026", ",3.5\n2026")
	text = strings.Replace(text, "Oil pressure (bar),3.5", "Oil pressure (bar)", 1)
	write(t, dir, "log.csv", strings.TrimSpace(text)+",3.5\n")
	s, err := campaign.Draft(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"Barometer" = "barometer"`, `"Oil pressure" = "ignore"`} {
		if !strings.Contains(s.Text, want) {
			t.Errorf("the draft has no line %s:\n%s", want, s.Text)
		}
	}
}
