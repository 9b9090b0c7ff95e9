package simulate

import (
	"math"
	"math/rand/v2"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Trace is a drive's speed over time in steps of Step seconds.
type Trace struct {
	Step  float64   // s
	Speed []float64 // m/s, never negative
	Grade []float64 // rise over run, same length as Speed; nil for a level road
	// Running says whether the engine runs; nil for always.
	Running []bool
	// Idle warm-up and parking are part of the trace: speed 0.
}

// Duration returns the length of the trace in seconds.
func (t Trace) Duration() float64 { return float64(len(t.Speed)) * t.Step }

// Leg is one piece of a route: hold a speed for a distance, or stand still
// for a time.
type Leg struct {
	Speed    float64 // m/s; 0 stands still
	Distance float64 // m, while Speed > 0
	Stand    float64 // s, while Speed = 0
	Grade    float64 // rise over run
	// FullThrottle accelerates at what the engine gives instead of gently.
	FullThrottle bool
	// EngineOff stops the engine while standing.
	EngineOff bool
}

const kmh = float64(quantity.KilometrePerHour)

// ValleyRoad is the demo's invented route: a cold start in a village, a steady
// stretch along a valley, a motorway entered at full throttle, a second
// village in stop-and-go, the valley again, and parking with a hot engine.
func ValleyRoad() []Leg {
	legs := []Leg{{Stand: 25}}
	village := func(stops int) {
		for i := range stops {
			legs = append(legs,
				Leg{Speed: 32 * kmh, Distance: 170 + 40*float64(i%3)},
				Leg{Stand: 8 + 7*float64(i%4)})
		}
	}
	village(3)
	legs = append(legs,
		Leg{Speed: 48 * kmh, Distance: 1500},
		Leg{Speed: 72 * kmh, Distance: 9500, Grade: 0.004},
		Leg{Stand: 35},
		Leg{Speed: 75 * kmh, Distance: 6500, Grade: -0.003},
		Leg{Speed: 112 * kmh, Distance: 13500, FullThrottle: true},
		Leg{Speed: 45 * kmh, Distance: 900},
	)
	village(9)
	legs = append(legs,
		Leg{Speed: 72 * kmh, Distance: 8500},
		Leg{Speed: 90 * kmh, Distance: 3000, FullThrottle: true},
		Leg{Speed: 40 * kmh, Distance: 700},
		Leg{Stand: 240, EngineOff: true},
	)
	return legs
}

// Driver is how somebody drives. Full throttle is the car's, and so the same for all.
type Driver struct {
	Acceleration float64 // m/s² from rest; it fades with speed
	Braking      float64 // m/s²
	Wander       float64 // m/s for each root second, about the wanted speed
	Haste        float64 // speeds wanted over those of the legs; 1 keeps to them
}

// UsualDriver accelerates at up to 1.4 m/s², brakes at 1.5 m/s² and wanders about
// the speed a little: the demo's.
func UsualDriver() Driver {
	return Driver{Acceleration: 1.4, Braking: 1.5, Wander: 0.12, Haste: 1}
}

// DrawDriver draws a driver between calm and brisk: 0.8 to 2 m/s² away from lights,
// 1 to 2 m/s² of braking, 7 % slower or faster than others (common practice, no
// source).
func DrawDriver(random *rand.Rand) Driver {
	between := func(a, b float64) float64 { return a + (b-a)*random.Float64() }
	brisk := random.Float64()
	return Driver{Acceleration: 0.8 + 1.2*brisk, Braking: 1 + brisk, Wander: between(0.06, 0.25), Haste: between(0.93, 1.07)}
}

// Drive turns legs into a trace at the given step in seconds, as the usual driver
// drives them and the random source says; full throttle accelerates at 2.4 m/s²
// fading with speed.
func Drive(legs []Leg, step float64, random *rand.Rand) Trace {
	return UsualDriver().Drive(legs, step, random)
}

// Drive is [Drive] of another driver.
func (who Driver) Drive(legs []Leg, step float64, random *rand.Rand) Trace {
	tr := Trace{Step: step}
	d := driver{Driver: who, trace: &tr, random: random}
	for i, leg := range legs {
		next := 0.0
		if i+1 < len(legs) {
			next = who.Haste * legs[i+1].Speed
		}
		if leg.Speed > 0 {
			leg.Speed *= who.Haste
			d.travel(leg, next)
		} else {
			d.stand(leg)
		}
	}
	return tr
}

type driver struct {
	Driver
	trace  *Trace
	random *rand.Rand
	speed  float64
	wander float64 // slow deviation from the wanted speed, m/s
}

func (d *driver) record(speed, grade float64, running bool) {
	d.speed = math.Max(0, speed)
	d.trace.Speed = append(d.trace.Speed, d.speed)
	d.trace.Grade = append(d.trace.Grade, grade)
	d.trace.Running = append(d.trace.Running, running)
}

func (d *driver) travel(leg Leg, next float64) {
	step := d.trace.Step
	for left := leg.Distance; left > 0; left -= d.speed * step {
		d.wander += (-d.wander/15*step + d.Wander*math.Sqrt(step)*d.random.NormFloat64())
		want := leg.Speed + d.wander*math.Min(1, leg.Speed/15)
		// Slow down in time for what comes next.
		if reach := (d.speed*d.speed - next*next) / (2 * d.Braking); next < d.speed && left <= reach+d.speed*step {
			want = math.Sqrt(math.Max(next*next, d.speed*d.speed-2*d.Braking*d.speed*step))
			want = math.Max(want, 0.6) // creep to the line
		}
		up := d.Acceleration * (1 - d.speed/80)
		if leg.FullThrottle {
			up = 2.4 * (1 - d.speed/55)
		}
		a := (want - d.speed) / step
		a = math.Max(-2.5, math.Min(up, a))
		d.record(d.speed+a*step, leg.Grade, true)
	}
}

func (d *driver) stand(leg Leg) {
	for d.speed > 0.05 {
		d.record(d.speed-d.Braking*d.trace.Step, 0, true)
	}
	stand := leg.Stand
	if !leg.EngineOff {
		stand *= 0.7 + 0.6*d.random.Float64()
	}
	d.speed = 0
	for t := 0.0; t < stand; t += d.trace.Step {
		d.record(0, 0, !leg.EngineOff)
	}
}
