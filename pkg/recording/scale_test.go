package recording

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// A header that speaks of a factor: 203 below "T1*10 (°C)" is 20.3 °C. Numbers that
// may be degrees are asked about, and the answer is taken.
func TestFactorInHeader(t *testing.T) {
	build := func(header string, row func(i int) string) []byte {
		text := "Time\t" + header + "\n"
		for i := range 60 {
			text += fmt.Sprintf("2025-03-24 14:18:%02d\t%s\n", i, row(i))
		}
		return []byte(text)
	}
	tenths := func(i int) string { return fmt.Sprint(203 + 11*i) }
	for _, header := range []string{"T1*10 (°C)", "T1 x10 (°C)", "T1x10 (°C)", "T1 (°C) x10", "T1 (°C x10)", "T1 (0.1 °C)", "T1 (°C, x10)", "10*T1 (°C)", "T1_x10_C", "T1 (x10) [°C]", "T1*0,1 (°C)", "T1 tenths (°C)"} {
		r, err := readBytes(build(header, tenths))
		if err != nil {
			t.Errorf("%s: %v", header, err)
			continue
		}
		if v := r.Columns[0].Series.Value; r.Columns[0].Name != "T1" || math.Abs(v[0]-273.15-20.3) > 1e-9 || math.Abs(v[59]-273.15-85.2) > 1e-9 {
			t.Errorf("%s: %q from %g K to %g K", header, r.Columns[0].Name, v[0], v[59])
		}
	}
	low := func(i int) string { return fmt.Sprint(30 + i) }
	degrees := func(i int) string { return fmt.Sprintf("%.1f", 20.3+1.1*float64(i)) }
	for name, c := range map[string]struct {
		header string
		row    func(int) string
	}{"no unit": {"T1 x10", tenths}, "a cold day": {"T1*10 (°C)", low}, "degrees": {"T1*10 (°C)", degrees}, "exhaust": {"EGT*10 (°C)", tenths}} {
		text := build(c.header, c.row)
		_, err := readBytes(text)
		var ask *AmbiguousError
		if !errors.As(err, &ask) || !strings.Contains(err.Error(), `"0.1 °C"`) {
			t.Errorf("%s: %v", name, err)
		}
		for unit, each := range map[string]float64{"0.1 °C": 0.1, "°C": 1} {
			var first float64
			fmt.Sscan(c.row(0), &first)
			r, err := readBytesWith(text, Layout{TemperatureUnit: unit})
			if err != nil || math.Abs(r.Columns[0].Series.Value[0]-273.15-each*first) > 1e-9 {
				t.Errorf("%s in %s: %v %v", name, unit, r, err)
			}
		}
	}
	if _, err := readBytes(build("T1*10 (°F)", tenths)); !errors.Is(err, ErrNoData) || !strings.Contains(err.Error(), "factor") {
		t.Errorf("°F: %v", err)
	}
	if r, err := readBytes(build("T1 (°C)\tSpeed*10 (km/h)", func(i int) string { return fmt.Sprintf("20.5\t%d", 5*i) })); err != nil || string(r.Columns[1].Dimension.String()) != "dimensionless" || len(r.Warnings) == 0 {
		t.Errorf("speed: %v %v", r, err)
	}
}

// A quotient in a header: 203 below "T1/10 (°C)" is 20.3 °C, and whole numbers that
// may be degrees are asked about. Numbers with a decimal mark below it are degrees, as
// of the first of ten probes; where they would make a cold day of any, that is said.
func TestQuotientInHeader(t *testing.T) {
	build := func(header string, row func(i int) string) []byte {
		text := "Time\t" + header + "\n"
		for i := range 60 {
			text += fmt.Sprintf("2025-03-24 14:18:%02d\t%s\n", i, row(i))
		}
		return []byte(text)
	}
	from := func(format string, first, each float64) func(int) string {
		return func(i int) string { return fmt.Sprintf(format, first+each*float64(i)) }
	}
	tenths := from("%.0f", 203, 11)
	for _, c := range []struct {
		header, name string
		row          func(int) string
		first        float64 // °C; NaN where it is asked
		warns        bool
	}{
		{"T1/10 (°C)", "T1", tenths, 20.3, false},
		{"T1 /10 (°C)", "T1", tenths, 20.3, false},
		{"T1 (°C) / 10", "T1", tenths, 20.3, false},
		{"T1 (°C, /10)", "T1", tenths, 20.3, false},
		{"T1 (°C/10)", "T1", tenths, 20.3, false},
		{"T1/100 (°C)", "T1", from("%.0f", 2030, 110), 20.3, false},
		{"T1/10 (°C)", "T1", from("%.0f", 30, 1), math.NaN(), false},
		{"Probe 1/10 (°C)", "Probe 1", from("%.0f", 18, 1), math.NaN(), false},
		{"EGT/10 (°C)", "EGT", tenths, math.NaN(), false},
		{"T1/10", "T1", tenths, math.NaN(), false},
		{"Probe 1/10 (°C)", "Probe 1/10", from("%.1f", 20.3, 1.1), 20.3, false},
		{"T1/10 (°C)", "T1/10", from("%.2f", 2.03, 0.11), 2.03, true},
		{"T1/10 (°F)", "T1/10", from("%.0f", 68, 2), 20, true},
	} {
		text := build(c.header, c.row)
		r, err := readBytes(text)
		if math.IsNaN(c.first) {
			var ask *AmbiguousError
			if !errors.As(err, &ask) || !strings.Contains(err.Error(), `"0.1 °C"`) {
				t.Errorf("%s, %s: %v", c.header, c.row(0), err)
			}
			r, err = readBytesWith(text, Layout{TemperatureUnit: "°C"})
			fmt.Sscan(c.row(0), &c.first)
		}
		if err != nil {
			t.Errorf("%s, %s: %v", c.header, c.row(0), err)
			continue
		}
		if got := r.Columns[0].Series.Value[0] - 273.15; r.Columns[0].Name != c.name || math.Abs(got-c.first) > 1e-9 {
			t.Errorf("%s, %s: %q begins at %g °C, want %q and %g", c.header, c.row(0), r.Columns[0].Name, got, c.name, c.first)
		}
		said := slices.ContainsFunc(r.Warnings, func(w estimate.Warning) bool { return strings.Contains(w.Text, "speaks of a quotient") })
		if said != c.warns {
			t.Errorf("%s, %s: warned %t, want %t", c.header, c.row(0), said, c.warns)
		}
	}
	if _, err := readBytes(build("T1/10 (°F)", from("%.0f", 680, 11))); !errors.Is(err, ErrNoData) || !strings.Contains(err.Error(), "factor") {
		t.Errorf("°F: %v", err)
	}
	r, err := readBytes(build("T1 (°C)\tEngine speed/1000 (rpm)", func(i int) string { return fmt.Sprintf("20.5\t2.%03d", i) }))
	if err != nil || r.Columns[1].Dimension.String() != "dimensionless" || len(r.Warnings) == 0 {
		t.Errorf("engine speed: %v %v", r, err)
	}
}
