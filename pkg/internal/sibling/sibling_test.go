package sibling

import (
	"fmt"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// logs are files of a logger with four probes on days from 5 to 30 °C, in °C.
func logs() []File {
	var all []File
	for i, day := range []float64{18, 24, 12, 30, 5} {
		f := File{Name: fmt.Sprintf("drive %d", i+1), Step: 2}
		for k, above := range []float64{0, 15, 30, 65} {
			m := quantity.Celsius(day + above).Kelvin()
			f.Columns = append(f.Columns, Column{fmt.Sprintf("T%d", k+1), quantity.KindTemperature, "°C", m - 6, m, m + 9, 1500})
		}
		all = append(all, f)
	}
	return all
}

func found(files []File) string {
	text := ""
	for _, f := range Odd(files) {
		text += fmt.Sprintf("%s: %s\n", f.File, f.Cause)
	}
	return text
}

// Each fault is found in its file, and in no other; days of 25 K difference are
// none.
func TestOdd(t *testing.T) {
	celsius, fahrenheit := quantity.KindTemperature.Unit("°C"), quantity.KindTemperature.Unit("°F")
	for _, c := range []struct {
		what  string
		spoil func(files []File)
		want  string
	}{
		{"nothing", func([]File) {}, ""},
		{"°F read as °C", func(f []File) {
			for i := range f[1].Columns {
				x := &f[1].Columns[i]
				for _, v := range []*float64{&x.Low, &x.Middle, &x.High} {
					*v = celsius.ToSI(fahrenheit.FromSI(*v))
				}
			}
		}, "drive 2: unit\n"},
		{"°C read as °F", func(f []File) {
			for i := range f {
				for k := range f[i].Columns {
					f[i].Columns[k].Unit = "°F"
				}
			}
			for i := range f[1].Columns {
				x := &f[1].Columns[i]
				for _, v := range []*float64{&x.Low, &x.Middle, &x.High} {
					*v = fahrenheit.ToSI(celsius.FromSI(*v))
				}
			}
		}, "drive 2: unit\n"},
		// Without the duct a throat is 45 K warmer in the middle of a drive; as °F
		// that would fit the others, but the drive begins at the outside air.
		{"a duct that was taken off", func(f []File) {
			for i := range f {
				f[i].Columns = f[i].Columns[:2]
			}
			x := &f[0].Columns[1]
			x.Middle, x.High = x.Middle+45, x.High+45
		}, ""},
		{"two plugs exchanged", func(f []File) {
			a, b := &f[2].Columns[0], &f[2].Columns[3]
			a.Low, a.Middle, a.High, b.Low, b.Middle, b.High = b.Low, b.Middle, b.High, a.Low, a.Middle, a.High
		}, "drive 3: exchanged\n"},
		{"a dead channel that repeats itself", func(f []File) {
			x := &f[3].Columns[1]
			x.Low, x.High = x.Middle, x.Middle
		}, "drive 4: constant\n"},
		{"another rate", func(f []File) { f[4].Step = 10 }, "drive 5: rate\n"},
		{"one unit in all of them", func(f []File) {
			for i := range f {
				for k := range f[i].Columns {
					f[i].Columns[k].Unit = "°F"
				}
			}
		}, ""},
		{"a probe that is missing", func(f []File) { f[1].Columns[2].Readings = 0 }, ""},
		{"two files tell nothing", nil, ""},
	} {
		files := logs()
		if c.spoil == nil {
			files = files[:2]
			files[0].Step = 20
		} else {
			c.spoil(files)
		}
		if got := found(files); got != c.want {
			t.Errorf("%s: %q, want %q", c.what, got, c.want)
		}
	}
}
