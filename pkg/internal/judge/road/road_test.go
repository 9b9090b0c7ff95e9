package road

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A driver who gets the acceleration asked for keeps to the limits within
// traffic's unrest, stands at the lights that are red, and arrives.
func TestDriverKeepsToTheRoad(t *testing.T) {
	for _, kind := range Kinds() {
		rng := rand.New(rand.NewPCG(5, 1))
		r, err := New(kind, rng)
		if err != nil {
			t.Fatal(err)
		}
		d := DrawDriver(rng)
		trip := r.Begin(d, rng)
		red := len(trip.stops)
		const dt = 0.1
		s, v, stops, stood, arrived := 0.0, 0.0, 0, true, false
		for i := 0; i < 2*3600*10 && !arrived; i++ {
			aim := trip.Aim(s, v, dt)
			arrived = aim.Arrived
			v = max(v+trip.Accel(aim.SpeedMPS, v)*dt, 0)
			s += v * dt
			if limit := trip.allowed[r.cell(s)]; v > limit*1.1+3.5 { // braking lags the aim
				t.Fatalf("%s: %.1f m/s at %.0f m, allowed %.1f", kind, v, s, limit)
			}
			if v < 0.3 && !stood {
				stops++
			}
			stood = v < 0.3
		}
		if !arrived || stops < red-1 || stops > red+1 {
			t.Errorf("%s: arrived %v, %d stops at %d red lights", kind, arrived, stops, red)
		}
	}
	if _, err := New("river", rand.New(rand.NewPCG(1, 1))); err == nil {
		t.Error("no error for a road that is not there")
	}
}

// Places lie as far apart as the road between them is long, within bends.
func TestPlaceAndHeightFollowTheRoad(t *testing.T) {
	r, err := New(Mixed, rand.New(rand.NewPCG(2, 1)))
	if err != nil {
		t.Fatal(err)
	}
	for s := 0.0; s < r.LengthM()-200; s += 500 {
		lat1, lon1 := r.Place(s)
		lat2, lon2 := r.Place(s + 100)
		const earthM = 6371000 * math.Pi / 180
		m := math.Hypot((lat2-lat1)*earthM, (lon2-lon1)*earthM*math.Cos(lat1*math.Pi/180))
		if m > 100.5 || m < 80 {
			t.Errorf("100 m of road at %.0f m are %.1f m on the map", s, m)
		}
		if rise := (r.Height(s+100) - r.Height(s)) / 100; math.Abs(rise-r.Grade(s+50)) > 0.01 {
			t.Errorf("grade %.3f at %.0f m, the height says %.3f", r.Grade(s+50), s, rise)
		}
	}
}
