package drive

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// onRoad makes a drive that is at these metres east of a point at 48° north, one
// reading a second.
func onRoad(t *testing.T, name string, north float64, east ...float64) *Drive {
	t.Helper()
	const lat = 48 * math.Pi / 180
	var ts, lats, lons []float64
	for i, e := range east {
		ts = append(ts, float64(i))
		lats, lons = append(lats, lat+north/earthRadius), append(lons, 0.1+e/(earthRadius*math.Cos(lat)))
	}
	d := &Drive{Name: name, Channels: map[Role]*Channel{}}
	for r, v := range map[Role][]float64{Latitude: lats, Longitude: lons} {
		s, err := series.New(string(r), series.Angle, time.Time{}, ts, v)
		if err != nil {
			t.Fatal(err)
		}
		d.Channels[r] = &Channel{Role: r, Series: s}
	}
	return d
}

func steps(from, by float64, n int) (all []float64) {
	for i := range n {
		all = append(all, from+by*float64(i))
	}
	return all
}

// A car that is twice as fast, and one lane aside, is at the same metre of the
// road at half the time; where it stands, it stays; the arithmetic is the check.
func TestAlong(t *testing.T) {
	route := onRoad(t, "route", 0, steps(0, 10, 200)...)
	fast := onRoad(t, "fast", 4, append(append(steps(0, 20, 50), 1000, 1000, 1000), steps(1020, 20, 30)...)...)
	got, err := fast.Along(route)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0, 20, 40, 60} {
		if math.Abs(got.Value[i]-want) > 1 {
			t.Errorf("reading %d: %.1f m, want %.0f", i, got.Value[i], want)
		}
	}
	for _, i := range []int{50, 51, 52} {
		if math.Abs(got.Value[i]-1000) > 1 {
			t.Errorf("standing: %.1f m, want 1000", got.Value[i])
		}
	}
	if got.Value[82] < 1590 || got.Dimension != series.Length {
		t.Errorf("the last reading: %.1f m, want 1600", got.Value[82])
	}
}

// Off the route there is no place on it; another road, and the same one the
// other way, are refused.
func TestAlongAnotherRoad(t *testing.T) {
	route := onRoad(t, "route", 0, steps(0, 10, 200)...)
	detour := onRoad(t, "detour", 0, append(steps(0, 10, 50), steps(3000, 10, 10)...)...)
	got, err := detour.Along(route)
	if err != nil {
		t.Fatal(err)
	}
	if !math.IsNaN(got.Value[55]) || math.IsNaN(got.Value[20]) {
		t.Errorf("%.0f m on the detour and %.0f m on the route", got.Value[55], got.Value[20])
	}
	for _, d := range []*Drive{onRoad(t, "aside", 500, steps(0, 10, 200)...), onRoad(t, "back", 0, steps(1990, -10, 200)...)} {
		if _, err := d.Along(route); err == nil || !strings.Contains(err.Error(), "route of \"route\"") {
			t.Errorf("%s: %v", d.Name, err)
		}
	}
	if _, err := (&Drive{Name: "blind", Channels: map[Role]*Channel{}}).Along(route); err == nil {
		t.Error("a drive without positions has a place on the route")
	}
}
