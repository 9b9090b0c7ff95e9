package drive_test

import (
	"strings"
	"testing"

	. "github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// Whoever logs °F reads °F and, where no file says otherwise, mph; an
// instrument's own units, kelvin and metres per second, are nobody's choice.
func TestUnitsOfFiles(t *testing.T) {
	for _, c := range []struct {
		files [][2]string
		want  [3]string // temperature, speed, pressure
	}{
		{[][2]string{{"T1 (°C)", "21.5"}}, [3]string{"°C", "km/h", "hPa"}},
		{[][2]string{{"T1 (°F)", "71.5"}}, [3]string{"°F", "mph", "inHg"}},
		{[][2]string{{"T1 (°F)", "71.5"}, {"speed (km/h)", "41.5"}}, [3]string{"°F", "km/h", "inHg"}},
		{[][2]string{{"T1 (K)", "291.5"}, {"speed (m/s)", "11.5"}}, [3]string{"°C", "km/h", "hPa"}},
		{[][2]string{{"T1 (°C)", "21.5"}, {"speed (mph)", "41.5"}}, [3]string{"°C", "mph", "hPa"}},
		{[][2]string{{"T1 (°C)", "21.5"}, {"T1 (°F)", "71.5"}}, [3]string{"°C", "km/h", "hPa"}},
	} {
		var all []*recording.Recording
		for _, f := range c.files {
			all = append(all, read(t, f[0], f[1]))
		}
		units := UnitsOf(all...)
		for i, k := range []quantity.Kind{quantity.KindTemperature, quantity.KindSpeed, quantity.KindPressure} {
			if got := units.Of(k).Symbol(); got != c.want[i] {
				t.Errorf("%v: %q, want %q", c.files, got, c.want[i])
			}
		}
	}
}

// read makes a recording of one column.
func read(t *testing.T, header, value string) *recording.Recording {
	t.Helper()
	var b strings.Builder
	b.WriteString("time (s)," + header + "\n")
	for i := range 40 {
		b.WriteString(strings.Join([]string{quantity.Format(float64(2*i), quantity.Unit{}, 5), value[:len(value)-1] + string(rune('0'+i%9))}, ",") + "\n")
	}
	r, err := recording.Read("log.csv", strings.NewReader(b.String()), recording.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// What is asked for goes before what the files hold, and checks are written in it.
func TestUnitsOfADrive(t *testing.T) {
	request := Request{Name: "duct-1", Sources: []Source{phone("duct-1"), loggerA("duct-1")}, Units: quantity.Preferred{Temperature: quantity.KindTemperature.Unit("°F")}}
	d, err := Join(request)
	if err != nil {
		t.Fatal(err)
	}
	if u := d.Units; u.Of(quantity.KindTemperatureDifference).Symbol() != "°F" || u.Of(quantity.KindSpeed).Symbol() != "km/h" {
		t.Errorf("asked for °F, with a phone in km/h: %v", u)
	}
	if text := d.Quality().String(); !strings.Contains(text, " °F") || strings.Contains(text, "°C") {
		t.Error(text)
	}
}
