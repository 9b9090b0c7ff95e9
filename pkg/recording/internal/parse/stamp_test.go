package parse

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// TestDays compares with the standard library's calendar.
func TestDays(t *testing.T) {
	for at := time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() < 2110; at = at.Add(24 * time.Hour) {
		y, m, d := at.Date()
		if got := DaysSinceEpoch(int64(y), int64(m), int64(d)) * 86400; got != at.Unix() {
			t.Fatalf("%v: %d, want %d", at, got, at.Unix())
		}
		if want := time.Date(y, m+1, 0, 0, 0, 0, 0, time.UTC).Day(); DaysIn(int64(y), int64(m)) != int64(want) {
			t.Fatalf("%v: %d days in its month, want %d", at, DaysIn(int64(y), int64(m)), want)
		}
	}
}

// TestStamps writes times with the standard library and reads them back.
func TestStamps(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, c := range []struct {
		layout string
		order  layout.DateOrder
	}{
		{"2006-01-02 15:04:05.000", layout.YearMonthDay}, {"2006-01-02T15:04:05.000000Z07:00", layout.YearMonthDay}, {"2006/1/2 3:04:05.000 pm", layout.YearMonthDay},
		{"02.01.2006 15:04:05,000", layout.DayMonthYear}, {"2/1/06 15:04:05.000", layout.DayMonthYear}, {"01/02/2006 03:04:05.000 PM", layout.MonthDayYear},
		{"2 Jan 2006 15:04:05.000", layout.DayMonthYear}, {"Jan 2, 2006 15:04:05.000", layout.DayMonthYear}, {"02-Jan-06 15:04:05.000 -0700", layout.DayMonthYear},
		{"20060102 15:04:05.000", layout.YearMonthDay}, {"15:04:05.000 02/01/2006", layout.DayMonthYear},
	} {
		for range 200 {
			want := time.UnixMilli(r.Int64N(3.1e12)).UTC() // to 2068, where two digits of a year end
			text := want.In(time.FixedZone("", 3600*(r.IntN(24)-11))).Format(c.layout)
			if _, offset := mustParse(t, c.layout, text); offset == 0 {
				text = want.Format(c.layout)
			}
			date, clock, ok := SplitStamp([]byte(text))
			days, okDate := Date(date, c.order)
			k, okClock := Clock(clock, false)
			got := time.Unix(days*86400+k.Seconds-k.Zone, k.Nanos).UTC()
			if !ok || !okDate || !okClock || !got.Equal(want) {
				t.Fatalf("%q (%s): %v %t %t %t, want %v", text, c.layout, got, ok, okDate, okClock, want)
			}
		}
	}
	for _, bad := range []string{"2025-02-30", "2025-13-01", "31.04.2025", "1.2", "2025", "12:00", "2025-1", "1/2/3/4", "99/99/99"} {
		if _, ok := Date([]byte(bad), layout.DayMonthYear); ok {
			t.Errorf("%q is read as a date", bad)
		}
	}
	for _, bad := range []string{"24:61:00", "1.5", "14.18", "12:5", "12:00:60.5.3", ":12", "12:", "1e5", "25:00:00", "13:00 XM"} {
		if _, ok := Clock([]byte(bad), false); ok {
			t.Errorf("%q is read as a time", bad)
		}
	}
}

// mustParse reads a text with the standard library and returns the zone's
// offset, which is 0 where the layout writes none.
func mustParse(t *testing.T, layout, text string) (time.Time, int) {
	t.Helper()
	at, err := time.Parse(layout, text)
	if err != nil {
		t.Fatal(err)
	}
	_, offset := at.Zone()
	return at, offset
}

// TestClockDays reads days before a point: 1.02:03:04 is 93784 s.
func TestClockDays(t *testing.T) {
	if c, ok := Clock([]byte("1.02:03:04"), true); !ok || c.Seconds != 93784 {
		t.Errorf("%+v %v", c, ok)
	}
}
