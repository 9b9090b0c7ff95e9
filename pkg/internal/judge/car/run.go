package car

import (
	"math"
	"math/rand/v2"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/road"
)

// StepS is the step of integration. The fastest part, a small tank in full
// flow, empties in about a quarter of a second and is emptied exactly.
const StepS = 0.1

// Park is a stop with the engine off somewhere along the way.
type Park struct{ AtM, ForS float64 }

// Run is one drive to be made.
type Run struct {
	Car    *Car
	Intake Intake
	Route  *road.Route
	Driver road.Driver
	Day    Day
	// CoolantC is the engine at the start; NaN is as cold as the air.
	CoolantC float64
	// BeforeS the record runs before the engine starts, IdleS it idles after
	// arrival, SoakS the record goes on after switch-off.
	BeforeS, IdleS, SoakS float64
	Parks                 []Park
	// MaxS ends the record whatever happens; 0 is four hours.
	MaxS float64
	// FullFromS uses full throttle from this moment on (0: as the driver likes).
	FullFromS  float64
	Seed, Path uint64
	// Without leaves one source of the bay's heat out, everything else as it
	// was: the difference is what that source does to the intake.
	Without Source
}

// Source is a source of the intake's heat.
type Source int

// The sources. RadiatorAir is all that reaches the bay and the intake from the
// radiator and its tank; BlockSkin and Manifold heat the bay; Pickup is taken
// up on the way in, from the box and as fixed heat; Sun is on the bonnet.
const (
	Nothing Source = iota
	RadiatorAir
	BlockSkin
	Manifold
	Pickup
	Sun
)

// Sources lists the sources with stable names.
var Sources = map[Source]string{RadiatorAir: "radiator", BlockSkin: "block", Manifold: "manifold", Pickup: "pick-up", Sun: "sun"}

type sim struct {
	*Run
	trip      *road.Trip
	loop      loop
	bay       bay
	rng       *rand.Rand
	t, s, v   float64
	ambient   float64
	meanMPS   float64
	wake      float64
	inWake    bool
	breath    breath
	engineRPM float64
	full      bool
	onS       float64
	arrivedS  float64
	offS      float64
	parkedS   float64
	stoodS    float64
	warmest   float64
	out       *Trace
	flows     flows
	around    surroundings
}

// Do makes the drive. It is the same for the same Run.
func (r Run) Do() *Trace {
	m := &sim{Run: &r, rng: rand.New(rand.NewPCG(r.Seed, r.Path)), arrivedS: math.NaN(), offS: math.NaN(), onS: -1}
	m.begin()
	limit := r.MaxS
	if limit == 0 {
		limit = 4 * 3600
	}
	every := int(math.Round(1 / StepS))
	for i := 0; m.t < limit; i++ {
		if i%every == 0 {
			m.record()
		}
		m.step(StepS, float64(i+1)*StepS)
		if !math.IsNaN(m.offS) && m.t >= m.offS+r.SoakS {
			break
		}
	}
	m.finish()
	return m.out
}

func (m *sim) begin() {
	m.trip = m.Route.Begin(m.Driver, m.rng)
	m.out = &Trace{FirstFlowS: math.NaN(), TankRiseHalfS: math.NaN(), TankRiseS: math.NaN(), TankMidS: math.NaN(), FullLiftS: math.NaN()}
	m.out.grow(3600)
	amb := m.Day.AmbientC
	hot := m.CoolantC
	if math.IsNaN(hot) {
		hot = amb
	}
	m.ambient = amb
	part := func(share float64) float64 { return amb + share*(hot-amb) }
	l := &m.loop
	l.head, l.jacketIn, l.jacketOut, l.block, l.wax = hot, hot, hot, part(0.95), hot
	l.hose, l.upper, l.core, l.lower = part(0.9), part(0.75), part(0.5), part(0.55)
	l.shadowHose, l.shadow = l.hose, l.upper
	l.lift = l.lifted(m.Car)
	m.bay = bay{part(0.35), part(0.4), part(0.3), part(0.6), part(0.4), part(0.35), part(0.4), amb, 0}
	m.warmest = l.jacketOut
	if m.Car.Cooling == Liquid && l.lift > 0 && m.Car.StuckLift == 0 {
		m.out.Outcome = Already
	}
}

// running says whether the engine runs now, and moves arrival and parking on.
func (m *sim) running(dt float64) bool {
	if m.t < m.BeforeS || !math.IsNaN(m.offS) {
		return false
	}
	if m.parkedS > 0 {
		m.parkedS -= dt
		return false
	}
	if len(m.Parks) > 0 && m.s >= m.Parks[0].AtM && m.v < 0.5 {
		m.parkedS, m.Parks = m.Parks[0].ForS, m.Parks[1:]
		return false
	}
	if !math.IsNaN(m.arrivedS) && m.t >= m.arrivedS+m.IdleS {
		m.offS = m.t
		return false
	}
	return true
}

// step moves everything on by dt, to the moment next.
func (m *sim) step(dt, next float64) {
	run := m.running(dt)
	m.move(run, dt)
	m.weather(dt)
	m.heat(run, dt)
	m.t = next
	m.watch()
}

// weather moves ambient, traffic wake and the mean speed on.
func (m *sim) weather(dt float64) {
	if m.Day.WakeShare > 0 && m.rng.Float64() < dt/45 { // another car in front, or none
		m.inWake = m.rng.Float64() < m.Day.WakeShare
	}
	target := 0.0
	if m.inWake && m.v > 3 {
		target = 1
	}
	m.wake += (target - m.wake) * dt / 5
	m.ambient = m.Day.AmbientC + m.Day.AmbientKPerS*m.t - 0.0065*(m.Route.Height(m.s)-m.Route.HeightM[0])
	m.meanMPS += (m.v - m.meanMPS) * dt / 45
	if m.v < 0.3 {
		m.stoodS += dt
	} else {
		m.stoodS = 0
	}
}
