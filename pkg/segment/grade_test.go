package segment

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// climbing is a drive of ten minutes that pulls three times, for ten seconds each,
// on a road that climbs all the way; height adds a channel that tells so.
func climbing(grade, a float64, height func(d *drive.Drive, at, up []float64)) *drive.Drive {
	var at, v, up []float64
	speed, h := 15.0, 100.0
	for i := range 600 {
		switch j := i % 200; {
		case j >= 100 && j < 110:
			speed += a
		case j >= 110 && speed > 15:
			speed -= 0.5
		}
		h += grade * speed
		at, v, up = append(at, float64(i)), append(v, speed), append(up, h)
	}
	d := &drive.Drive{Name: "hill", Mass: 1000, Channels: map[drive.Role]*drive.Channel{}}
	d.Channels[drive.Speed] = &drive.Channel{Role: drive.Speed, Series: &series.Series{Name: "speed", Dimension: series.Speed, Time: at, Value: v}}
	if height != nil {
		height(d, at, up)
	}
	return d
}

func byReceiver(d *drive.Drive, at, up []float64) {
	d.Channels[drive.Altitude] = &drive.Channel{Role: drive.Altitude, Series: &series.Series{Name: "height", Dimension: series.Length, Time: at, Value: up}}
}

// The standard atmosphere has 1013.25 hPa at sea level and 954.61 at 500 m;
// what counts is its slope, 12 Pa/m there (ISO 2533).
func byBarometer(d *drive.Drive, at, up []float64) {
	p := make([]float64, len(up))
	for i, h := range up {
		p[i] = 101325 * math.Pow(1-h/44330.77, 5.2559)
	}
	d.Channels[drive.Barometer] = &drive.Channel{Role: drive.Barometer, Series: &series.Series{Name: "pressure", Dimension: series.Pressure, Time: at, Value: p}}
}

// A climb of 5 % is seen by a receiver's height and better by a barometer; without
// either the road is level, as far as roads are.
func TestGradeOfAClimb(t *testing.T) {
	at := func(height func(*drive.Drive, []float64, []float64)) (grade, spread float64) {
		d := climbing(0.05, 0.5, height)
		r := DefaultRules().Learn([]*drive.Drive{d})
		speed, err := d.Channel(drive.Speed)
		if err != nil {
			t.Fatal(err)
		}
		m := newMotion(d, speed, r)
		e := r.learnt.effort(m)
		i := 300
		return e.climb[i] / gravity, e.spread[i] / (m.speed[i] * gravity)
	}
	none, unknown := at(nil)
	receiver, known := at(byReceiver)
	barometer, better := at(byBarometer)
	if none != 0 || math.Abs(unknown-slopeSpread) > 0.002 {
		t.Errorf("without a height: %.4f ± %.4f", none, unknown)
	}
	if receiver < 0.025 || receiver > 0.05 || known > 0.8*unknown {
		t.Errorf("by a receiver: %.4f ± %.4f", receiver, known)
	}
	if math.Abs(barometer-0.05) > 0.003 || better > 0.5*known {
		t.Errorf("by a barometer: %.4f ± %.4f, by a receiver ± %.4f", barometer, better, known)
	}
}

// A pull uphill is no pull by its acceleration; with the grade it is one.
func TestPullUphill(t *testing.T) {
	likely := func(height func(*drive.Drive, []float64, []float64)) float64 {
		d := climbing(0.06, 0.5, height)
		d.RatedPower = 34 * 1000 // W; the wheels give 27 W/kg, 11 of them against the hill
		segments, err := SplitAfter(d, open, DefaultRules())
		if err != nil {
			t.Fatal(err)
		}
		most := 0.0
		for _, s := range segments {
			most = math.Max(most, s.Likely)
		}
		return most
	}
	if with, without := likely(byBarometer), likely(nil); !(with > 0.75 && without < 0.2) {
		t.Errorf("uphill: full throttle with %.2f, without a height %.2f", with, without)
	}
}

// The slope of a line through a random walk of T seconds has the variance 6/5 of
// the walk's variance a second over T (the law that the uncertainty rests on).
func TestSlopeThroughARandomWalk(t *testing.T) {
	random := rand.New(rand.NewPCG(15, 16))
	const n, trials = 41, 4000
	square := 0.0
	for range trials {
		walk, sxy, sxx := 0.0, 0.0, 0.0
		for i := range n {
			x := float64(i) - (n-1)/2.0
			sxy, sxx = sxy+x*walk, sxx+x*x
			walk += random.NormFloat64()
		}
		square += (sxy / sxx) * (sxy / sxx) / trials
	}
	if got := square * (n - 1); math.Abs(got-1.2) > 0.08 {
		t.Errorf("variance of the slope times T: %.3f, want 1.2", got)
	}
}

// Drives along one road tell its grade closer together, and a rejected pull speaks
// against others as strong.
func TestLearnFromAllDrives(t *testing.T) {
	var drives []*drive.Drive
	for range 4 {
		d := climbing(0.05, 0.5, byReceiver)
		lat, lon := make([]float64, 600), make([]float64, 600)
		way := 0.0
		for i, v := range d.Channels[drive.Speed].Series.Value {
			way += v
			lat[i], lon[i] = 0.8, way/earthRadius/math.Cos(0.8)
		}
		at := d.Channels[drive.Speed].Series.Time
		d.Channels[drive.Latitude] = &drive.Channel{Role: drive.Latitude, Series: &series.Series{Name: "lat", Dimension: series.Angle, Time: at, Value: lat}}
		d.Channels[drive.Longitude] = &drive.Channel{Role: drive.Longitude, Series: &series.Series{Name: "lon", Dimension: series.Angle, Time: at, Value: lon}}
		d.RatedPower = quantity.Power(32 * 1000)
		drives = append(drives, d)
	}
	spread := func(rules Rules) float64 {
		speed, err := drives[0].Channel(drive.Speed)
		if err != nil {
			t.Fatal(err)
		}
		m := newMotion(drives[0], speed, rules)
		return rules.learnt.effort(m).spread[300]
	}
	if one, all := spread(DefaultRules().Learn(drives[:1])), spread(DefaultRules().Learn(drives)); !(all < 0.75*one) {
		t.Errorf("spread of the effort from one drive %.2f W/kg, from four %.2f", one, all)
	}
}

// What is learnt of the throttle counts as open from where the rules say, as what
// is cut does.
func TestOpenAsTheRulesSay(t *testing.T) {
	d := climbing(0, 0.5, nil)
	speed := d.Channels[drive.Speed].Series
	opening := make([]float64, speed.Len())
	for i := range opening {
		opening[i] = 0.8
	}
	d.Channels[drive.Throttle] = &drive.Channel{Role: drive.Throttle, Series: speed.With("throttle", series.Dimensionless, opening)}
	for above, want := range map[float64]int{0.75: 1, 0.9: -1} {
		rules := DefaultRules()
		rules.FullThrottleAbove = above
		if got := newMotion(d, speed, rules).known(100, 110, rules); got != want {
			t.Errorf("open from %.2f on: %d, want %d", above, got, want)
		}
	}
}
