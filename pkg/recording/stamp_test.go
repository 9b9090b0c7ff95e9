package recording

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"
)

// TestDays compares with the standard library's calendar.
func TestDays(t *testing.T) {
	for at := time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() < 2110; at = at.Add(24 * time.Hour) {
		y, m, d := at.Date()
		if got := daysSinceEpoch(int64(y), int64(m), int64(d)) * 86400; got != at.Unix() {
			t.Fatalf("%v: %d, want %d", at, got, at.Unix())
		}
		if want := time.Date(y, m+1, 0, 0, 0, 0, 0, time.UTC).Day(); daysIn(int64(y), int64(m)) != int64(want) {
			t.Fatalf("%v: %d days in its month, want %d", at, daysIn(int64(y), int64(m)), want)
		}
	}
}

// TestStamps writes times with the standard library and reads them back.
func TestStamps(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, c := range []struct {
		layout string
		order  DateOrder
	}{
		{"2006-01-02 15:04:05.000", YearMonthDay}, {"2006-01-02T15:04:05.000000Z07:00", YearMonthDay}, {"2006/1/2 3:04:05.000 pm", YearMonthDay},
		{"02.01.2006 15:04:05,000", DayMonthYear}, {"2/1/06 15:04:05.000", DayMonthYear}, {"01/02/2006 03:04:05.000 PM", MonthDayYear},
		{"2 Jan 2006 15:04:05.000", DayMonthYear}, {"Jan 2, 2006 15:04:05.000", DayMonthYear}, {"02-Jan-06 15:04:05.000 -0700", DayMonthYear},
		{"20060102 15:04:05.000", YearMonthDay}, {"15:04:05.000 02/01/2006", DayMonthYear},
	} {
		for range 200 {
			want := time.UnixMilli(r.Int64N(3.1e12)).UTC() // to 2068, where two digits of a year end
			text := want.In(time.FixedZone("", 3600*(r.IntN(24)-11))).Format(c.layout)
			if _, offset := mustParse(t, c.layout, text); offset == 0 {
				text = want.Format(c.layout)
			}
			date, clock, ok := splitStamp([]byte(text))
			days, okDate := parseDate(date, c.order)
			k, okClock := parseClock(clock, false)
			got := time.Unix(days*86400+k.seconds-k.zone, k.nanos).UTC()
			if !ok || !okDate || !okClock || !got.Equal(want) {
				t.Fatalf("%q (%s): %v %t %t %t, want %v", text, c.layout, got, ok, okDate, okClock, want)
			}
		}
	}
	for _, bad := range []string{"2025-02-30", "2025-13-01", "31.04.2025", "1.2", "2025", "12:00", "2025-1", "1/2/3/4", "99/99/99"} {
		if _, ok := parseDate([]byte(bad), DayMonthYear); ok {
			t.Errorf("%q is read as a date", bad)
		}
	}
	for _, bad := range []string{"24:61:00", "1.5", "14.18", "12:5", "12:00:60.5.3", ":12", "12:", "1e5", "25:00:00", "13:00 XM"} {
		if _, ok := parseClock([]byte(bad), false); ok {
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

// TestDaysBeforeHours reads times since a start that count days before a
// point: 1.02:03:04 is 93784 s.
func TestDaysBeforeHours(t *testing.T) {
	r := readShape(t, "Elapsed,A (°C)\n23:59:58,20\n23:59:59,21\n1.00:00:00,22\n1.00:00:01.5,23\n")
	if s := r.Columns[0].Series; fmt.Sprint(s.Time) != "[86398 86399 86400 86401.5]" {
		t.Errorf("times %v", s.Time)
	}
	if c, ok := parseClock([]byte("1.02:03:04"), true); !ok || c.seconds != 93784 {
		t.Errorf("%+v %v", c, ok)
	}
}
