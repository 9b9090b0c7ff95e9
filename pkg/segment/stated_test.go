package segment

import (
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// The owner's word on full throttle counts before what speed seems to show.
func TestStatedFullThrottle(t *testing.T) {
	d := pulling(t, 0.4, func(s float64) bool { return s >= 100 && s < 110 || s >= 300 && s < 310 })
	full := func() []Segment { return fullThrottle(t, d) }
	if got := full(); len(got) != 2 || got[0].Stated {
		t.Fatalf("by speed alone: %v", got)
	}
	d.FullThrottle = []drive.StatedStretch{{Interval: series.Interval{From: 90, To: 120}}, {Interval: series.Interval{From: 450, To: 460}, Holds: true}}
	got := full()
	if len(got) == 0 {
		t.Fatal("no full throttle")
	}
	// One as strong that was rejected speaks against the other, too.
	if last := got[len(got)-1]; got[0].Interval.From < 290 || last.Interval.From < 445 || !last.Stated || last.Likely != 1 {
		t.Errorf("rejected at 100 s and confirmed at 450 s: %v", got)
	}
}

// Two pulls with a gear change between are one stretch, which is stated only
// where both are.
func TestStatedInPart(t *testing.T) {
	d := pulling(t, 2, func(s float64) bool { return s >= 100 && s < 110 || s >= 115 && s < 125 })
	first := drive.StatedStretch{Interval: series.Interval{From: 98, To: 111}, Holds: true}
	second := drive.StatedStretch{Interval: series.Interval{From: 114, To: 126}, Holds: true}
	for _, c := range []struct {
		said []drive.StatedStretch
		want bool
	}{{nil, false}, {[]drive.StatedStretch{first}, false}, {[]drive.StatedStretch{first, second}, true}} {
		d.FullThrottle = c.said
		if got := fullThrottle(t, d); len(got) != 1 || got[0].Stated != c.want || (got[0].Basis == "stated in the campaign") != c.want {
			t.Errorf("said %v: %v, stated %v, %s", c.said, got, got[0].Stated, got[0].Basis)
		}
	}
}

// pulling is a drive that accelerates hard where the function says so, and
// slows down by so many m/s² elsewhere.
func pulling(t *testing.T, slowing float64, pulls func(s float64) bool) *drive.Drive {
	t.Helper()
	var times, speed []float64
	v := 5.0
	for s := 0.0; s < 600; s++ {
		if pulls(s) {
			v += 2
		} else if v > 5 {
			v -= slowing
		}
		times, speed = append(times, s), append(speed, v)
	}
	sp, err := series.New("speed", series.Speed, time.Time{}, times, speed)
	if err != nil {
		t.Fatal(err)
	}
	return &drive.Drive{Name: "x", RatedPower: 62e3, Mass: 1000, Channels: map[drive.Role]*drive.Channel{drive.Speed: {Role: drive.Speed, Series: sp}}}
}

func fullThrottle(t *testing.T, d *drive.Drive) []Segment {
	t.Helper()
	rules := DefaultRules()
	rules.FullThrottleLikely = 0.5 // two pulls of one drive don't tell more
	pieces, err := SplitWith(d, rules)
	if err != nil {
		t.Fatal(err)
	}
	return Select(pieces, FullThrottle)
}
