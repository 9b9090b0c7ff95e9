package segment

import (
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// The owner's word on full throttle counts before what speed seems to show.
func TestStatedFullThrottle(t *testing.T) {
	var times, speed []float64
	v := 5.0
	for s := 0.0; s < 600; s++ { // pulls at 100 and 300 s
		if s >= 100 && s < 110 || s >= 300 && s < 310 {
			v += 2
		} else if v > 5 {
			v -= 0.4
		}
		times, speed = append(times, s), append(speed, v)
	}
	sp, err := series.New("speed", series.Speed, time.Time{}, times, speed)
	if err != nil {
		t.Fatal(err)
	}
	d := &drive.Drive{Name: "x", Channels: map[drive.Role]*drive.Channel{drive.Speed: {Role: drive.Speed, Series: sp}}}
	full := func() (all []Segment) {
		pieces, err := SplitWith(d, DefaultRules())
		if err != nil {
			t.Fatal(err)
		}
		return Select(pieces, FullThrottle)
	}
	if got := full(); len(got) != 2 || got[0].Stated {
		t.Fatalf("by speed alone: %v", got)
	}
	d.FullThrottle = []drive.StatedStretch{{Interval: series.Interval{From: 90, To: 120}}, {Interval: series.Interval{From: 450, To: 460}, Holds: true}}
	got := full()
	if len(got) != 2 || got[0].Interval.From < 290 || got[0].Stated || got[1].Interval.From < 445 || !got[1].Stated {
		t.Errorf("rejected at 100 s and confirmed at 450 s: %v", got)
	}
}
