package parse

import (
	"math"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// FuzzDate: a date that is taken in an order is a day of the calendar, the same
// that the standard library counts, and no order is taken for one that is not.
func FuzzDate(f *testing.F) { fuzzDate(f) }

func fuzzDate(f mutant.F) {
	for _, s := range []string{"2026-05-04", "4.5.2026", "05/04/26", "4. Mai 2026", "29/02/2024", "31.02.2026", "20260504", "2026/124", "04-May-2026", "99-99-9999", "0000-00-00"} {
		f.Add([]byte(s))
	}
	orders := []layout.DateOrder{layout.YearMonthDay, layout.DayMonthYear, layout.MonthDayYear}
	f.Fuzz(func(t *testing.T, b []byte) {
		p, n, ok := SplitDate(b)
		if ok && (n <= 0 || n > len(b)) {
			t.Fatalf("%q: %d bytes of %d", b, n, len(b))
		}
		for _, o := range orders {
			days, taken := Date(b, o)
			if !taken {
				continue
			}
			if !ok {
				t.Fatalf("%q is a date, %d, in the order %s, but can't be split", b, days, o)
			}
			at := time.Unix(0, 0).UTC().AddDate(0, 0, int(days))
			if y, m, d := at.Date(); DaysSinceEpoch(int64(y), int64(m), int64(d)) != days || int64(d) > DaysIn(int64(y), int64(m)) {
				t.Fatalf("%q in the order %s is day %d, %v, parts %v", b, o, days, at, p)
			}
		}
	})
}

// FuzzClock: a time of day that is taken is not negative, and its fraction less
// than a second.
func FuzzClock(f *testing.F) { fuzzClock(f) }

func fuzzClock(f mutant.F) {
	for _, s := range []string{"09:30:03", "9:30", "10.00.02", "093003", "09:30:03.250", "1:02:03 PM", "12:00 AM", "23:59:60", "100:00:00", "-0:01", "09:30:03+02:00", "09h30m03"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		for name, read := range map[string]func() (ClockTime, bool){
			"Clock":   func() (ClockTime, bool) { return Clock(b, false) },
			"long":    func() (ClockTime, bool) { return Clock(b, true) },
			"Minutes": func() (ClockTime, bool) { return Minutes(b) },
			"compact": func() (ClockTime, bool) { return CompactClock(b) },
		} {
			if k, ok := read(); ok && (k.Seconds < 0 || k.Seconds > 1e12 || k.Nanos < 0 || k.Nanos >= 1e9) {
				t.Fatalf("%s of %q: %v", name, b, k)
			}
		}
		if date, clock, ok := SplitStamp(b); ok && len(date)+len(clock) > len(b) {
			t.Fatalf("%q is split into %q and %q", b, date, clock)
		}
	})
}

// FuzzDegrees: an angle that is taken is finite, and one with a plain decimal
// mark the same as with a comma.
func FuzzDegrees(f *testing.F) { fuzzDegrees(f) }

func fuzzDegrees(f mutant.F) {
	for _, s := range []string{"46.5", "46°30'15\"N", "7 15.5 E", "-122.41", "46 30 N", "N46.5", "46°", "999999999999999"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		for _, decimal := range []byte{'.', ','} {
			if v, ok := Degrees(b, decimal); ok && (math.IsNaN(v) || math.IsInf(v, 0)) {
				t.Fatalf("%q: %v", b, v)
			}
			for _, read := range []func() (float64, bool){func() (float64, bool) { return DayMonth(b) }, func() (float64, bool) { return Grouped(b, decimal) }} {
				if v, ok := read(); ok && math.IsNaN(v) {
					t.Fatalf("%q: %v", b, v)
				}
			}
		}
	})
}
