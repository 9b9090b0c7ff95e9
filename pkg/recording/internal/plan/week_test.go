package plan

import (
	"testing"
	"time"
)

// TestWeekTime checks against the instants at which the ten bits of the week
// number ran over (gps.gov: 1999-08-21 and 2019-04-06, at the end of the day in
// GPS time), and the beginning of 2017, when the last leap second had passed.
func TestWeekTime(t *testing.T) {
	for _, c := range []struct {
		week, within float64
		want         string
	}{
		{1024, 0, "1999-08-21T23:59:47Z"},
		{2048, 0, "2019-04-06T23:59:42Z"},
		{1930, 18, "2017-01-01T00:00:00Z"},
		{1930, 16, "2016-12-31T23:59:59Z"},
	} {
		if got := time.Unix(int64(WeekTime(c.week, c.within)), 0).UTC().Format(time.RFC3339); got != c.want {
			t.Errorf("week %v, %v s: %s, want %s", c.week, c.within, got, c.want)
		}
	}
}
