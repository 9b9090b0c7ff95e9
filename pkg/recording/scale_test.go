package recording

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
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
