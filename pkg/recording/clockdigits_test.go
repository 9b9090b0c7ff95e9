package recording

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// TestClockDigits reads invented files without a date whose times are digits of the
// clock, and some whose numbers only look like it. Truth is known: how long the
// record lasts.
func TestClockDigits(t *testing.T) {
	hhmmss := func(s float64) string {
		k := int(s) % 86400
		return fmt.Sprintf("%02d%02d%02d", k/3600, k/60%60, k%60)
	}
	unpadded := func(s float64) string { return strings.TrimLeft(hhmmss(s), "0") }
	millis := func(s float64) string { return fmt.Sprintf("%s.%03d", hhmmss(s), int(math.Round(math.Mod(s, 1)*1000))) }
	seconds := func(s float64) string { return fmt.Sprintf("%.0f", s) }
	for _, c := range []struct {
		header      string
		first       float64 // s since midnight
		every, last float64 // s
		write       func(s float64) string
		missing     int // rows in a row, in the middle
		want        TimeFormat
	}{
		{"time", 33270, 2, 800, hhmmss, 0, TimeOfDay},
		{"time", 33270, 2, 800, unpadded, 0, TimeOfDay},
		{"Uhrzeit", 50000, 1, 300, hhmmss, 0, TimeOfDay},
		{"Time (s)", 33270, 2, 800, hhmmss, 0, TimeOfDay},
		{"UTC time", 33270, 0.5, 400, millis, 0, TimeOfDay},
		{"", 33270, 5, 1800, hhmmss, 0, TimeOfDay},
		{"time", 33270, 15, 3600, hhmmss, 0, TimeOfDay},
		{"time", 86100, 2, 1200, hhmmss, 0, TimeOfDay}, // past midnight
		{"time", 35400, 2, 1200, hhmmss, 0, TimeOfDay}, // past an hour's end
		{"time", 33270, 2, 1600, hhmmss, 45, TimeOfDay},
		{"time", 33270, 2, 800, seconds, 0, ElapsedSeconds}, // of the day, as numbers
		{"time", 10000, 2, 50, seconds, 0, ElapsedSeconds},
		{"time", 10000, 20, 3000, seconds, 0, ElapsedSeconds},
		{"time", 10000, 10, 40, seconds, 0, ElapsedSeconds},
	} {
		t.Run(fmt.Sprintf("%s, %s every %g s", c.header, c.write(c.first), c.every), func(t *testing.T) {
			var b strings.Builder
			b.WriteString(c.header + ",T1 °C,T2 °C\n")
			n := int(c.last / c.every)
			for i := range n + 1 {
				if i > n/2 && i <= n/2+c.missing {
					continue
				}
				s := float64(i) * c.every
				_, water, air := driveAt(s)
				fmt.Fprintf(&b, "%s,%.1f,%.1f\n", c.write(c.first+s), water, air)
			}
			r, err := readBytes([]byte(b.String()))
			if err != nil {
				t.Fatal(err)
			}
			want := float64(n) * c.every
			if r.Layout.TimeFormat != c.want || math.Abs(r.Interval().Duration()-want) > 1e-3 {
				t.Errorf("read as %q over %g s, not %q over %g s", r.Layout.TimeFormat, r.Interval().Duration(), c.want, want)
			}
			if c.want == TimeOfDay {
				h, m, s := r.Start.Clock()
				if got := float64(h*3600 + m*60 + s); got != math.Floor(c.first) {
					t.Errorf("begins at %v", r.Start)
				}
				if !strings.Contains(fmt.Sprint(r.Warnings), "time_format") {
					t.Errorf("nothing says what the digits were taken for: %v", r.Warnings)
				}
			}
			again, err := readBytesWith([]byte(b.String()), r.Layout)
			if err != nil || again.Interval() != r.Interval() || !again.Start.Equal(r.Start) {
				t.Errorf("by its own layout: %v, %v", again, err)
			}
			if c.header == "" || c.want != TimeOfDay {
				return
			}
			again, err = readBytesWith([]byte(b.String()), Layout{TimeFormat: ElapsedSeconds})
			if err != nil || again.Layout.TimeFormat != ElapsedSeconds {
				t.Errorf("as seconds, on demand: %v, %v", again, err)
			}
		})
	}
}

// TestNoClockDigits: numbers that are no digits of the clock are not read as if they
// were, whatever the layout says; the error says what does not fit.
func TestNoClockDigits(t *testing.T) {
	var b strings.Builder
	b.WriteString("time,T1 °C\n")
	for i := range 400 {
		fmt.Fprintf(&b, "%d,%.1f\n", 33270+2*i, 20+float64(i)/50)
	}
	asked := Layout{TimeFormat: TimeOfDay, Columns: []layout.ColumnLayout{{Number: 1, Holds: layout.HoldsTime}}}
	if r, err := readBytesWith([]byte(b.String()), asked); err == nil || !strings.Contains(err.Error(), "does not fit") {
		t.Errorf("%v, %v", r, err)
	}
}
