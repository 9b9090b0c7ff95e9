package compare

import (
	"math"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// eastward is a drive of 10 km along a parallel, from a number of metres north of
// 45° N, read every 50 m; a degree of latitude is 111.195 km on the mean sphere.
func eastward(t *testing.T, north float64) *drive.Drive {
	t.Helper()
	var at, latitude, longitude []float64
	for i := range 200 {
		at = append(at, float64(2*i))
		latitude = append(latitude, (45+north/111195)*math.Pi/180)
		longitude = append(longitude, 50*float64(i)/(111195*math.Cos(math.Pi/4))*math.Pi/180)
	}
	d := &drive.Drive{Channels: map[drive.Role]*drive.Channel{}}
	for role, v := range map[drive.Role][]float64{drive.Latitude: latitude, drive.Longitude: longitude} {
		s, err := series.New(string(role), series.Angle, time.Time{}, at, v)
		if err != nil {
			t.Fatal(err)
		}
		d.Channels[role] = &drive.Channel{Role: role, Series: s}
	}
	return d
}

func TestCommonGround(t *testing.T) {
	on := func(north, from, to float64) DriveRise {
		return DriveRise{Ground: Run{Drive: eastward(t, north)}.ground([]series.Interval{{From: from, To: to}})}
	}
	whole := on(0, 0, 400)
	if n := len(whole.Ground); n < 38 || n > 42 { // 10 km in squares of 250 m
		t.Errorf("%d squares", n)
	}
	for _, c := range []struct {
		name          string
		before, after []DriveRise
		want, within  float64
	}{
		{"the same", []DriveRise{whole}, []DriveRise{on(30, 0, 400)}, 1, 0},
		{"5 km away", []DriveRise{whole}, []DriveRise{on(5000, 0, 400)}, 0, 0},
		{"its second half", []DriveRise{whole}, []DriveRise{on(0, 200, 400)}, (1 + 0.5) / 2, 0.03},
		{"both halves", []DriveRise{on(0, 0, 200), on(0, 200, 400)}, []DriveRise{whole}, 1, 0},
	} {
		if got := CommonGround(c.before, c.after); !(math.Abs(got-c.want) <= c.within) {
			t.Errorf("%s: %.3f, want %.3f", c.name, got, c.want)
		}
	}
	if got := CommonGround([]DriveRise{whole}, []DriveRise{{}}); !math.IsNaN(got) {
		t.Errorf("without positions: %g", got)
	}
}

// Another road widens the interval, stands in the budget and is told; the same
// road is not.
func TestAnotherRoadWidens(t *testing.T) {
	width := map[float64]float64{}
	for _, north := range []float64{20, 8000} {
		var all []DriveRise
		for i := range 6 {
			r := DriveRise{Drive: string(rune('a' + i)), Configuration: "open", ID: RoadMiddle, Mean: quantity.KelvinDifference(20 + 0.3*float64(i%3)),
				Ambient: quantity.Celsius(18 + float64(i%3)), Speed: 22, SinceOpening: 900, Start: time.Date(2026, 5, 2+i, 9, 0, 0, 0, time.UTC)}
			place := 0.0
			if i%4 == 1 || i%4 == 2 {
				r.Configuration, r.Mean = "duct", r.Mean-4
				place = north
			}
			r.Ground = Run{Drive: eastward(t, place)}.ground([]series.Interval{{From: 0, To: 400}})
			all = append(all, r)
		}
		rules := DefaultRules()
		rules.Primary = RoadMiddle
		ds, err := Configurations(all, "open", "duct", rules)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range ds {
			if !d.Primary {
				continue
			}
			width[north] = d.Change.Interval.Width()
			budgeted := false
			for _, c := range d.Change.Contributions {
				budgeted = budgeted || c.Source.ID == anotherRoad && c.Effect > 0.5
			}
			if told := estimate.Has(d.Flaws, Route); told != (north > 1000) || budgeted != told {
				t.Errorf("%g m away: told %v, in the budget %v", north, told, budgeted)
			}
		}
	}
	if !(width[8000] > 1.5*width[20]) {
		t.Errorf("another road: %.1f K wide, the same %.1f K", width[8000], width[20])
	}
}
