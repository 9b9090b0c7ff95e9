package campaign_test

import (
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/weather"
)

// withAltitude is with, and the phone's altitude has its role.
func withAltitude(t *testing.T, old, fresh string) string {
	t.Helper()
	text := with(t, old, fresh)
	const line = `speed = "speed"`
	if strings.Count(text, line) != 1 {
		t.Fatalf("%q occurs %d times", line, strings.Count(text, line))
	}
	return strings.Replace(text, line, line+"\naltitude = \"altitude\"", 1)
}

// The phone's altitude is 310 m, where the 1976 standard atmosphere has 976.6
// hPa: 11.8 hPa per 100 m below 1013.25 hPa.
func TestPressureIsComparedWithTheAltitude(t *testing.T) {
	const stated = "pressure = \"1008 hPa\"\nhumidity = \"55 %\"\n"
	for _, c := range []struct {
		fresh string
		kind  estimate.Kind // asked about; empty for none
	}{
		{"pressure = \"975 hPa\"\nhumidity = \"55 %\"\n", ""},
		{"qnh = \"1008 hPa\"\nhumidity = \"55 %\"\n", ""},
		{"altitude = \"310 m\"\nhumidity = \"55 %\"\n", ""},
		{"pressure = \"1013 hPa\"\nhumidity = \"55 %\"\n", air.PressureDoubtful},
		{"qnh = \"970 hPa\"\nhumidity = \"55 %\"\n", air.PressureDoubtful},
		{"pressure = \"975 hPa\"\nhumidity = \"0.55 %\"\n", air.HumidityDoubtful},
		{"qnh = \"1008 hPa\"\naltitude = \"1017 m\"\nhumidity = \"55 %\"\n", air.AltitudeDoubtful}, // feet
	} {
		d, err := open(t, withAltitude(t, stated, c.fresh)).Drive("open filters, first run")
		if err != nil {
			t.Errorf("%s: %v", c.fresh, err)
			continue
		}
		var found []estimate.Warning
		for _, n := range d.Notes {
			if n.Kind == air.PressureDoubtful || n.Kind == air.HumidityDoubtful || n.Kind == air.AltitudeDoubtful {
				found = append(found, n)
			}
		}
		if c.kind == "" && len(found) > 0 || c.kind != "" && !estimate.Has(found, c.kind) {
			t.Errorf("%s: notes %v, want %q", c.fresh, found, c.kind)
		}
	}
	right, err := open(t, withAltitude(t, stated, "pressure = \"975 hPa\"\n")).Drive("open filters, first run")
	if err != nil {
		t.Fatal(err)
	}
	wrong, err := open(t, withAltitude(t, stated, "pressure = \"1013 hPa\"\n")).Drive("open filters, first run")
	if err != nil {
		t.Fatal(err)
	}
	// Two standard uncertainties cover the pressure that was meant.
	if u := wrong.Weather.PressureUncertainty; 2*u < wrong.Weather.Pressure-right.Weather.Pressure || right.Weather.PressureUncertainty > 2*quantity.Hectopascal {
		t.Errorf("uncertainties %v and %v", u, right.Weather.PressureUncertainty)
	}
	// The same for feet taken as metres, and a humidity that outside air can't have is
	// as unsure as one that nobody noted: 40 %/√3.
	feet, err := open(t, withAltitude(t, stated, "qnh = \"1008 hPa\"\naltitude = \"1017 m\"\nhumidity = \"0.55 %\"\n")).Drive("open filters, first run")
	if err != nil {
		t.Fatal(err)
	}
	metres, err := open(t, withAltitude(t, stated, "qnh = \"1008 hPa\"\naltitude = \"310 m\"\nhumidity = \"55 %\"\n")).Drive("open filters, first run")
	if err != nil {
		t.Fatal(err)
	}
	if u := feet.Weather.PressureUncertainty; 2*u < metres.Weather.Pressure-feet.Weather.Pressure || metres.Weather.PressureUncertainty > 10*quantity.Hectopascal {
		t.Errorf("uncertainties in feet %v and in metres %v", u, metres.Weather.PressureUncertainty)
	}
	if u := float64(feet.Weather.HumidityUncertainty); u < 0.23 || metres.Weather.HumidityUncertainty > 0.1 {
		t.Errorf("uncertainties of humidity %v and %v", u, metres.Weather.HumidityUncertainty)
	}
	for _, n := range wrong.Notes {
		if n.Kind == air.PressureDoubtful && !strings.Contains(n.Text, "was it 1013 hPa, reduced to sea level") {
			t.Errorf("%v", n)
		}
	}
}

// The logger's ambient channel swings by 0.3 K about 17 °C. Saturation there
// is 19.38 hPa (IAPWS-IF97), so 55 % are 10.66 hPa; moist air of 975 hPa then
// weighs 1.1658 kg/m³ by (p − 0.378 e)/(287.05 T).
func TestOutsideAirOfADrive(t *testing.T) {
	const stated = "pressure = \"1008 hPa\"\nhumidity = \"55 %\"\n"
	d, err := open(t, withAltitude(t, stated, "pressure = \"975 hPa\"\nhumidity = \"55 %\"\n")).Drive("open filters, first run")
	if err != nil {
		t.Fatal(err)
	}
	o, err := weather.Outside(d)
	if err != nil {
		t.Fatal(err)
	}
	k := o.Temperature.Value
	if c := k - 273.15; c < 16.6 || c > 17.1 {
		t.Errorf("temperature %v", o.Temperature)
	}
	es := 1938.0 * math.Exp(0.0635*(k-290.15)) // 6.35 % per kelvin
	if math.Abs(o.VapourPressure.Value-0.55*es) > 8 {
		t.Errorf("vapour %v Pa, want %v", o.VapourPressure.Value, 0.55*es)
	}
	if rho := (97500 - 0.378*0.55*es) / (287.05 * k); math.Abs(o.Density.Value/rho-1) > 3e-4 {
		t.Errorf("density %v, want %v", o.Density.Value, rho)
	}
	for _, e := range []estimate.Estimate{o.Pressure, o.Temperature, o.VapourPressure, o.Density} {
		if !(e.Interval.Width() > 0 && e.Interval.Level == 0.95 && len(e.Contributions) > 0) {
			t.Errorf("%v: no interval", e)
		}
	}
	// Taken to the hot intake the vapour stays and the humidity falls.
	hot, err := o.State.Heated(quantity.Celsius(55))
	if err != nil || hot.VapourPressure != o.State.VapourPressure || hot.RelativeHumidity() > 0.08 {
		t.Errorf("%v, %v", hot, err)
	}
	if d, err = open(t, withAltitude(t, stated, "pressure = \"1013 hPa\"\n")).Drive("open filters, first run"); err != nil {
		t.Fatal(err)
	}
	doubtful, err := weather.Outside(d)
	if err != nil {
		t.Fatal(err)
	}
	if !estimate.Has(doubtful.Warnings, air.PressureDoubtful) || !estimate.Has(doubtful.Warnings, weather.HumidityNotKnown) || !doubtful.Density.Interval.Contains(o.Density.Value) {
		t.Errorf("%v", doubtful)
	}
	d.Weather.Pressure = 0
	if _, err := weather.Outside(d); err == nil {
		t.Error("air without a pressure")
	}
	delete(d.Channels, drive.Ambient)
	if _, err := weather.Outside(d); err == nil || !strings.Contains(err.Error(), "ambient") {
		t.Errorf("no ambient channel: %v", err)
	}
}
