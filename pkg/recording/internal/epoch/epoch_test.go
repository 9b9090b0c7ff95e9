package epoch

import (
	"fmt"
	"testing"
)

// 2025-11-13 08:15:07, a Thursday, as each format counts it: the Julian day of
// 2000-01-01 12:00 is 2451545 and its modified one 51544.5 (IAU 2006, resolution
// B1.9 and the Explanatory Supplement to the Astronomical Almanac, from memory);
// the others were written by Python's datetime.
func TestOf(t *testing.T) {
	for _, c := range []struct {
		v        float64
		words    []string
		fraction bool
		days     bool
		want     string
	}{
		{1763021707, nil, false, false, "[unix s]"},
		{1763021707, []string{"elapsed"}, false, false, "[]"},
		{1763021707000, nil, false, false, "[unix ms]"},
		{3845866507, nil, false, false, "[s since 1904 unix s]"},
		{134074953070000000, nil, false, false, "[100 ns since 1601]"},
		{638986185070000000, nil, false, false, "[100 ns since year 1]"},
		{45974.343831, nil, true, true, "[spreadsheet days]"},
		{60992.343831, nil, true, true, "[mod. julian days spreadsheet days]"},
		{60992.343831, []string{"mjd"}, true, true, "[mod. julian days]"},
		{2460992.843831, nil, true, true, "[julian days]"},
		{739934.343831, nil, true, true, "[days of year 0 days of year 1]"},
		{739934.343831, nil, true, false, "[]"},
		{12.5, nil, true, true, "[]"},
	} {
		if got := fmt.Sprint(Of(c.v, c.words, c.fraction, c.days)); got != c.want {
			t.Errorf("%v %q: %s, want %s", c.v, c.words, got, c.want)
		}
	}
}
