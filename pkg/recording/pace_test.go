package recording

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
)

// driveAt is an invented drive, s seconds after its start: a speed in m/s with a stop
// each two minutes and 3 m/s² at most, water that warms from 15 to 85 °C and outside
// air that stays.
func driveAt(s float64) (speed, water, air float64) {
	in := math.Mod(s, 120)
	speed = max(0, min(min(2*in, 3*(110-in)), 14+6*math.Sin(s/400)))
	return speed, 15 + 70*(1-math.Exp(-s/420)), 14 + 0.3*math.Sin(s/300)
}

// TestTimesInAnotherUnit reads invented drives whose true seconds stand in a unit that
// the header names wrongly. Truth is known: such a file is asked about where the file
// can tell, warned of where it can't, and one whose header is right is read without a
// question; of those that step as loggers do without a word.
func TestTimesInAnotherUnit(t *testing.T) {
	type column int
	const speed, water, air column = 0, 1, 2
	for _, c := range []struct {
		header      string
		each        float64 // numbers to a true second
		every, last float64 // true seconds
		holds       column
		want        string
	}{
		// Milliseconds below seconds.
		{"Time (s)", 1000, 0.02, 100, speed, "asks"},
		{"Time (s)", 1000, 0.05, 1200, speed, "asks"},
		{"Time (s)", 1000, 0.02, 1200, water, "asks"},
		{"elapsed_s", 1000, 0.05, 1200, water, "asks"},
		{"Time (s)", 1000, 0.02, 1200, air, "asks"},
		{"Time (s)", 1000, 0.02, 20, air, "warns"},
		{"Time", 1000, 0.05, 1200, speed, "asks"},
		{"Time", 1000, 0.02, 20, air, "warns"},
		{"Time (s)", 1000, 0.001, 60, speed, "asks"},
		// Seconds below seconds.
		{"Time (s)", 1, 20, 3600, speed, ""},
		{"Time (s)", 1, 30, 5400, water, ""},
		{"Time (s)", 1, 20, 7200, air, "warns"},
		{"Time (s)", 1, 2, 3600, speed, ""},
		{"Time (s)", 1, 2, 3600, air, ""},
		{"Time (s)", 1, 10, 40000, water, ""},
		{"Time (s)", 1, 1, 40000, speed, ""},
		{"Time", 1, 20, 3600, speed, ""},
		// Seconds below milliseconds.
		{"Time (ms)", 1, 2, 1200, speed, "asks"},
		{"Time (ms)", 1, 1, 1200, water, "asks"},
		{"Time (ms)", 1, 2, 1200, air, "asks"},
		{"Time (ms)", 1, 0.1, 1200, speed, "asks"},
		// Milliseconds below milliseconds.
		{"Time (ms)", 1000, 2, 1200, speed, ""},
		{"Time (ms)", 1000, 0.1, 600, speed, ""},
		{"Time (ms)", 1000, 0.02, 300, water, ""},
		{"millis", 1000, 0.005, 100, air, ""},
		// Seconds below minutes.
		{"Time (min)", 1, 2, 1800, speed, "asks"},
		{"Time (min)", 1, 2, 1800, water, "asks"},
		{"Zeit [min]", 1, 1, 1200, water, "asks"},
		{"Time (min)", 1, 1, 1200, air, "asks"},
		{"Time (min)", 1, 1, 300, air, "warns"},
		// Seconds below hours and days, and hours below hours.
		{"Time (h)", 1, 2, 1200, water, "asks"},
		{"Elapsed (d)", 1, 2, 1200, speed, "asks"},
		{"Elapsed (h)", 1 / 3600., 2, 1200, water, ""},
		{"Elapsed (h)", 1 / 3600., 10, 40000, water, ""},
		{"Elapsed (d)", 1 / 86400., 2, 1200, speed, ""},
		// Minutes below minutes.
		{"Time (min)", 1 / 60., 2, 3600, speed, ""},
		{"Time (min)", 1 / 60., 2, 3600, air, ""},
		{"Time (min)", 1 / 60., 60, 7200, speed, ""},
		{"Time (min)", 1 / 60., 60, 7200, water, ""},
		{"Time (min)", 1 / 60., 60, 7200, air, "warns"},
	} {
		name := fmt.Sprintf("%s, %g to a second, each %g s, %g s, column %d", c.header, c.each, c.every, c.last, c.holds)
		var b strings.Builder
		b.WriteString(c.header + "," + [...]string{"Speed (m/s)", "Water (°C)", "Outside (°C)"}[c.holds] + "\n")
		for i := range int(c.last/c.every) + 1 {
			s := float64(i) * c.every
			v, w, a := driveAt(s)
			fmt.Fprintf(&b, "%.10g,%.2f\n", s*c.each, [...]float64{v, w, a}[c.holds])
		}
		text := b.String()
		r, err := readBytes([]byte(text))
		var ask *AmbiguousError
		got := ""
		switch {
		case errors.As(err, &ask):
			got = "asks"
		case err != nil:
			t.Errorf("%s: %v", name, err)
			continue
		default:
			for _, w := range r.Warnings {
				if strings.Contains(w.Text, "nothing in the file tells") || strings.Contains(w.Text, "see what the times count") {
					got = "warns"
				}
			}
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q: %v", name, got, c.want, err)
		}
		if ask == nil {
			continue
		}
		right := map[float64]TimeFormat{1: ElapsedSeconds, 1000: ElapsedMilliseconds}[c.each]
		if !strings.Contains(err.Error(), fmt.Sprintf("time_format = %q", string(right))) {
			t.Errorf("%s: what is true is not offered: %v", name, err)
		}
		r, err = readBytesWith([]byte(text), Layout{TimeFormat: right})
		if err != nil || math.Abs(r.Interval().Duration()-c.last) > 0.03 {
			t.Errorf("%s: with the answer %v, %v; want %g s", name, r, err, c.last)
		}
	}
}
