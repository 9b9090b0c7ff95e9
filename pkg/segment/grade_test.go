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

// A line through the covariance of a random walk, min(s, t), gives its slope's
// variance without chance: 6/5 over T in the limit.
func TestSlopeVarianceByCovariance(t *testing.T) {
	const n = 2001
	var sxx float64
	c := make([]float64, n)
	for i := range c {
		c[i] = float64(i) - (n-1)/2.0
		sxx += c[i] * c[i]
	}
	variance := 0.0
	for i := range c {
		for j := range c {
			variance += c[i] * c[j] * float64(min(i, j)) / (sxx * sxx)
		}
	}
	m := &motion{step: 1, speed: make([]float64, n)}
	road, height := make([]float64, n), make([]float64, n)
	for i := range c { // on a road of 1 m/s the slope is that over time
		m.speed[i], road[i], height[i] = 1, float64(i), 0.03*float64(i)
	}
	slope, length, time := m.slopeWithin(road, height, 0, n)
	if math.Abs(slope-0.03) > 1e-12 || length != n-1 || time != n-1 {
		t.Errorf("slope %v over %v m and %v s", slope, length, time)
	}
	if got := variance * time; math.Abs(got-1.2) > 0.001 {
		t.Errorf("variance of the slope times T: %.4f, want 1.2", got)
	}
}

// A road that is level to within 2 % (one standard deviation) and a survey of
// 5 ± 1 %: the mean of both by their precisions, as any textbook has it for a
// normal mean with a normal prior, is 4 ± 0.894 %. Two such surveys: 4.44 ± 0.667 %.
func TestGradeByPrecisions(t *testing.T) {
	at := place{north: 1}
	one := survey{at: {1e4, 500}}
	for n, want := range map[int][2]float64{0: {0, 0.02}, 1: {0.04, 0.01 / math.Sqrt(1.25)}, 2: {0.1 / 2.25, 0.01 / 1.5}} {
		g, u := grade(at, []survey{one, one}[:n])
		if math.Abs(g-want[0]) > 1e-12 || math.Abs(u-want[1]) > 1e-12 {
			t.Errorf("%d surveys: %.5f ± %.5f, want %.5f ± %.5f", n, g, u, want[0], want[1])
		}
	}
}

// Norris of the NIST StRD: the certified slope is 1.00211681802045.
func TestSlopeCertified(t *testing.T) {
	x := []float64{0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6,
		556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5}
	y := []float64{0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8,
		557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2}
	m := &motion{step: 1, speed: make([]float64, len(x))}
	if slope, _, _ := m.slopeWithin(x, y, 0, len(x)); math.Abs(slope-1.00211681802045) > 1e-12 {
		t.Errorf("slope %.14f", slope)
	}
}

// The standard atmosphere as ICAO's Doc 7488 has it: a pressure scale height of
// 8434.5 m at sea level (as the tests of a public library, ambiance, hold it
// against the printed table). engineeringtoolbox.com prints 1.1393, 1.0748,
// 1.01325, 0.9546, 0.8988 and 0.7950 bar at −1000, −500, 0, 500, 1000 and 2000 m.
// The scale is that of 15 °C, so heights are right to 2.3 % for each 1000 m above
// the sea. Hydrostatics on another day: a height's change is p/(ρ·g) = R·T/g times
// that of ln p, which from −10 to 35 °C is within 9 % of it.
func TestHeightByPressure(t *testing.T) {
	if math.Abs(metresPerScale-8434.5) > 0.05 {
		t.Errorf("%v m", metresPerScale)
	}
	bar, metres := []float64{1.1393, 1.0748, 1.01325, 0.9546, 0.8988, 0.7950}, []float64{-1000, -500, 0, 500, 1000, 2000}
	var at, v, p []float64
	for i := range bar {
		at, v, p = append(at, float64(i)), append(v, 10), append(p, bar[i]*1e5)
	}
	d := &drive.Drive{Name: "atmosphere", Channels: map[drive.Role]*drive.Channel{
		drive.Speed:     {Role: drive.Speed, Series: &series.Series{Name: "speed", Dimension: series.Speed, Time: at, Value: v}},
		drive.Barometer: {Role: drive.Barometer, Series: &series.Series{Name: "pressure", Dimension: series.Pressure, Time: at, Value: p}}}}
	m := &motion{of: d, step: 1, mid: at, slow: v, speed: v}
	height, _ := m.height()
	for i := 1; i < len(bar); i++ {
		middle := (metres[i] + metres[i-1]) / 2
		rise := (height[i] - height[i-1]) / (metres[i] - metres[i-1])
		if want := 1 / (1 - 0.0065*middle/288.15); math.Abs(rise-want) > 0.002 {
			t.Errorf("at %.0f m: %.4f m for each, by the scale of that height %.4f", middle, rise, want)
		}
	}
	for _, celsius := range []float64{-10, 35} {
		const gas = 287.05287 // J/(kg K)
		rho := 1e5 / (gas * (celsius + 273.15))
		if off := metresPerScale/(1e5/(rho*gravity)) - 1; math.Abs(off) > 0.1 {
			t.Errorf("at %v °C heights are off by %.1f %%", celsius, 100*off)
		}
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
	opening[0], opening[1] = 1, 1 // it can read more
	d.Channels[drive.Throttle] = &drive.Channel{Role: drive.Throttle, Series: speed.With("throttle", series.Dimensionless, opening)}
	for above, want := range map[float64]int{0.75: 1, 0.9: -1} {
		rules := DefaultRules()
		rules.FullThrottleAbove = above
		if got := newMotion(d, speed, rules).known(100, 110, rules); got != want {
			t.Errorf("open from %.2f on: %d, want %d", above, got, want)
		}
	}
}
