package clock_test

import (
	"math"
	"math/rand/v2"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// A simulated drive with a known truth. The model is not the estimator's: the
// bay's equilibrium is another function of speed, its time constant differs at
// rest and in motion, the engine warms up, the day drifts, noise is
// autocorrelated, the phone smooths, the logger rounds.

var day = time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC)

// route returns a true speed every 0.5 s: stops, stretches at changing speeds,
// limited accelerations. Pace stretches the time between changes. With steady it never stops nor changes much.
func route(r *rand.Rand, duration, pace float64, steady bool) []float64 {
	const dt = 0.5
	n := int(duration / dt)
	v := make([]float64, n)
	target, hold := 0.0, 20.0
	wobble := 0.0
	speed := 0.0
	if steady {
		target, hold, speed = 22, duration, 22
	}
	for i := range v {
		if hold -= dt; hold < 0 {
			switch {
			case target > 0 && r.Float64() < 0.35:
				target, hold = 0, 8+r.ExpFloat64()*25
			default:
				target, hold = 4+r.Float64()*24, pace*(15+r.ExpFloat64()*50)
			}
		}
		wobble += -wobble*dt/15 + 0.25*math.Sqrt(dt)*r.NormFloat64()
		want := target
		if target > 0 {
			want = math.Max(0, target+wobble)
		}
		speed += math.Max(-2.2*dt, math.Min(1.4*dt, want-speed))
		v[i] = math.Max(0, speed)
	}
	return v
}

// bayAir returns the air temperature in kelvin every 0.5 s that the speeds
// make, seen by a probe.
func bayAir(r *rand.Rand, v []float64, coupled bool) []float64 {
	const dt = 0.5
	rest := 20 + 40*r.Float64() // s at rest
	moving := rest * (0.3 + 0.5*r.Float64())
	swing := 6 + 18*r.Float64() // K between rest and fast
	probe := 1 + 10*r.Float64()
	warm := 300 + 500*r.Float64() // s
	scale := 3 + 6*r.Float64()    // m/s
	ambient := 285 + 15*r.Float64()
	air, seen := ambient+3, ambient+3
	noise, drift := 0.0, 0.0
	sigma := 0.1 + 0.5*r.Float64()
	out := make([]float64, len(v))
	for i, speed := range v {
		heat := 1 - math.Exp(-float64(i)*dt/warm)
		cause := math.Exp(-speed / scale)
		if !coupled {
			cause = 0.4
		}
		drift += 0.02 * math.Sqrt(dt) * r.NormFloat64()
		equilibrium := ambient + drift + heat*(15+swing*cause)
		tau := moving + (rest-moving)*math.Exp(-speed/3)
		noise += -noise*dt/20 + sigma*math.Sqrt(2*dt/20)*r.NormFloat64()
		air += dt * (equilibrium - air) / tau
		seen += dt * (air + noise - seen) / probe
		out[i] = seen
	}
	return out
}

// record samples a true signal of 0.5 s steps as a device does: from its own
// start, at its own step with jitter, rounded, with some rows missing.
func record(r *rand.Rand, name string, dim series.Dimension, truth []float64, from, to, step, resolution, noise float64, start time.Time) *series.Series {
	var t, x []float64
	for at := from; at < to; at += step {
		k := at / 0.5
		i := int(k)
		if i+1 >= len(truth) {
			break
		}
		if r.Float64() < 0.01 {
			continue
		}
		f := k - float64(i)
		value := truth[i] + f*(truth[i+1]-truth[i]) + noise*r.NormFloat64()
		t = append(t, at-from+0.05*r.Float64())
		x = append(x, math.Round(value/resolution)*resolution)
	}
	s, err := series.New(name, dim, start, t, x)
	if err != nil {
		panic(err)
	}
	return s
}

// smoothed is a phone's speed: a first-order lag and noise.
func smoothed(v []float64, tau float64) []float64 {
	out := make([]float64, len(v))
	state := v[0]
	for i, x := range v {
		state += (x - state) * (1 - math.Exp(-0.5/tau))
		out[i] = state
	}
	return out
}

// pair is two recordings and the offset that brings the second onto the
// first's clock.
type pair struct {
	kind          string
	first, second []clock.Channel
	truth         float64
}

// simulatedPair returns pair number k of a seeded series, of five kinds in
// turn: phone and logger on a drive with stops ("motion"), two speeds, phone
// and logger on an open road with a few changes of speed ("sparse"), two
// probes in the same air, and a pair without information ("none"): a steady
// drive, or air that does not answer.
func simulatedPair(seed uint64, k int) pair {
	r := rand.New(rand.NewPCG(seed, uint64(k)))
	duration := 900 + 1800*r.Float64()
	lead, tail := 60*r.Float64(), 60*r.Float64() // the second device's absence
	if r.Float64() < 0.3 {
		lead, tail = duration*0.2*r.Float64(), duration*0.2*r.Float64()
	}
	clockError := (r.Float64() - 0.5) * 600
	kind := []string{"motion", "speeds", "sparse", "probes", "none"}[k%5]
	steady := kind == "none" && r.Float64() < 0.5
	pace := 1.0
	if kind == "sparse" {
		pace = 8
	}
	v := route(r, duration, pace, steady)
	phone := smoothed(v, 0.3+1.2*r.Float64())
	firstStart := day
	// The second device begins lead seconds after the first; its clock is off.
	secondStart := day.Add(time.Duration((lead - clockError) * 1e9))
	speed := record(r, "speed", series.Speed, phone, 0, duration, 1, 0.01, 0.15, firstStart)
	p := pair{kind: kind, truth: clockError}
	p.first = []clock.Channel{{Series: speed, Kind: clock.RoadSpeed, Place: "speed"}}
	end := duration - tail
	switch kind {
	case "speeds":
		other := record(r, "speed", series.Speed, smoothed(v, 0.2+r.Float64()), lead, end, 0.5+r.Float64(), 1/3.6, 0.1, secondStart)
		p.second = []clock.Channel{{Series: other, Kind: clock.RoadSpeed, Place: "speed"}}
	case "probes":
		bay := bayAir(r, v, true)
		a := record(r, "bay", series.Temperature, bay, 0, duration, 2, 0.1, 0.05, firstStart)
		b := record(r, "bay", series.Temperature, smoothed(bay, 0.5+4*r.Float64()), lead, end, 2, 0.1, 0.05, secondStart)
		p.first = []clock.Channel{{Series: a, Kind: clock.AirTemperature, Place: "bay"}}
		p.second = []clock.Channel{{Series: b, Kind: clock.AirTemperature, Place: "bay"}}
	default:
		coupled := kind != "none" || steady
		bay, intake := bayAir(r, v, coupled), bayAir(r, v, coupled)
		p.second = []clock.Channel{
			{Series: record(r, "bay", series.Temperature, bay, lead, end, 2, 0.1, 0.05, secondStart), Kind: clock.AirTemperature, Place: "bay"},
			{Series: record(r, "intake", series.Temperature, intake, lead, end, 2, 0.1, 0.05, secondStart), Kind: clock.AirTemperature, Place: "intake"},
		}
	}
	return p
}
