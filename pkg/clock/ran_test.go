package clock_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
)

func ranOn(day int, offset, late, longer float64) clock.Ran {
	s := func(x float64) time.Duration { return time.Duration(x * 1e9) }
	from := time.Date(2026, 5, 2+day, 9, 0, 0, 0, time.UTC)
	return clock.Ran{FirstFrom: from, FirstTo: from.Add(s(1800)), SecondFrom: from.Add(s(late - offset)), SecondTo: from.Add(s(1800 + longer - offset))}
}

// The second was switched on some seconds later or earlier than the first, and
// off with it; its clock is 500 s behind. The numbers are sums of those given.
func TestDriveTimes(t *testing.T) {
	drives := []clock.Ran{ranOn(0, 500, 10, 0), ranOn(1, 500, -20, 0), ranOn(2, 500, 0, 60), ranOn(3, 90000, 0, 0)}
	r, err := clock.FromDriveTimes(drives, 0)
	if err != nil || r.Method != clock.DriveTimes || r.Drives != 3 {
		t.Fatalf("%v, error %v", r, err)
	}
	// middles: 500−5, 500+10, 500−30
	if math.Abs(r.Offset-495) > 1e-6 || math.Abs(r.Interval.From-(495-85)) > 1e-6 || math.Abs(r.Interval.To-(495+85)) > 1e-6 {
		t.Errorf("%v, want 495 s ± 85 s", r)
	}
	for k, d := range map[int][]clock.Ran{3: drives, 0: drives[:1]} {
		if r, err := clock.FromDriveTimes(d, k); !errors.Is(err, clock.ErrUndecided) || r.Method != clock.AsWritten {
			t.Errorf("drive %d of %d: %v, error %v", k, len(d), r, err)
		}
	}
}

// What the second clock shows is the inverse of what it means.
func TestShownIsTheInverse(t *testing.T) {
	at := time.Date(2026, 5, 2, 9, 0, 0, 0, time.UTC)
	r := clock.Stated(-37.25, 60e-6, 1, at)
	for _, h := range []time.Duration{-100 * time.Hour, 0, 30 * time.Minute, 400 * time.Hour} {
		if back := r.At(r.Shown(at.Add(h))); back.Sub(at.Add(h)).Abs() > time.Microsecond {
			t.Errorf("after %v: %v", h, back)
		}
	}
}
