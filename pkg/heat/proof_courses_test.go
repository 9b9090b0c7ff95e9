//go:build proof

package heat

import (
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/car"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"
	"github.com/bonnetbook/bonnetbook/pkg/internal/proving"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// A course is a drive as it was recorded and as it was: each second the true
// rise of the intake's air, and what of it the radiator gave, in K.
type course struct {
	name           string
	drive          *drive.Drive
	probes         probes
	ambient        float64 // K, at the start
	rise, radiator []float64
	opening        float64 // s, NaN without one
}

// A pull is a load held after a settled cruise at 85 km/h on the level, on a day
// of its own: what Predict is asked, and the true rise in K.
type pull struct {
	kind      string
	condition Condition
	rise      float64
}

// A proofCar is a car that is driven several times.
type proofCar struct {
	name    string
	courses []course
	pulls   func(ambient float64) []pull
	// cruise is the true settled rise at a steady speed in m/s on a still day.
	cruise func(ambient, speed float64) float64
}

// setting reads a number from the environment.
func setting(name string, otherwise int) int {
	if n, err := strconv.Atoi(os.Getenv(name)); err == nil {
		return n
	}
	return otherwise
}

// judged calls f with cars of the second model: its variants in turn, drives
// that scatter by 1.2 K at 60 to 95 km/h.
func judged(t testing.TB, seed uint64, cars, drives int, season car.Season, law *car.AmbientLaw, f func(proofCar)) {
	variants := car.Variants()
	for i, s := range proving.Seeds(seed, cars) {
		c, err := judge.Make(judge.Plan{Seed: s, Before: drives, ScatterK: 1.2, Variant: variants[i%len(variants)].Name, Season: season, Law: law})
		if err != nil {
			t.Fatal(err)
		}
		random := rand.New(rand.NewPCG(s, 0x70726f6265))
		errors := drawProbes(random)
		for j := range c.Probes {
			for place, role := range map[instrument.Place]drive.Role{instrument.Intake: drive.Intake, instrument.Grille: drive.Ambient} {
				if c.Probes[j].Place == place {
					c.Probes[j].OffsetK = errors.class[role]
				}
			}
		}
		one := proofCar{name: c.Variant}
		for _, d := range c.Drives {
			rec, err := proving.Drive(c, d)
			if err != nil {
				t.Fatal(err)
			}
			r := d.Run
			r.Without = car.RadiatorAir
			without := r.Do()
			course := course{name: c.Variant, drive: rec, probes: errors, ambient: d.Run.Day.AmbientC + 273.15, opening: d.Trace.FirstFlowS}
			for j := range min(d.Trace.Len(), without.Len()) {
				course.rise = append(course.rise, d.Trace.RiseK(j))
				course.radiator = append(course.radiator, d.Trace.RiseK(j)-without.RiseK(j))
			}
			one.courses = append(one.courses, course)
		}
		one.pulls = func(ambient float64) (all []pull) {
			bench := otherDay{c.Car, c.Intakes[0], car.DrawDay(car.Season{LowC: ambient - 273.15, HighC: ambient - 273.15}, car.Scatter{K: 1.2, Common: math.NaN()}, random)}
			var pulls []car.Pull
			var climbs []car.Climb
			for _, g := range car.Grades {
				pulls, climbs = append(pulls, bench.pull(g)), append(climbs, bench.climb(80/3.6, g))
			}
			cruise := Condition{Ambient: kelvinOf(ambient), Before: speedOf(85 / 3.6)}
			for _, p := range pulls {
				for k, held := range []float64{10, 60, 300} {
					x := cruise
					x.Speed, x.Grade, x.Held = speedOf(p.SpeedMPS[k]), p.GradeMPM, time.Duration(held*float64(time.Second))
					x.Airflow = RelativeAirflow(0.85 * p.PowerW[k] / c.Car.MassKg)
					all = append(all, pull{pullKind(held, "full throttle"), x, p.RiseK[k]})
				}
			}
			for _, p := range climbs {
				x := cruise
				x.Before, x.Speed, x.Grade, x.Held = speedOf(80/3.6), speedOf(p.SpeedMPS), p.GradeMPM, 300*time.Second
				all = append(all, pull{pullKind(300, "held 80 km/h"), x, p.RiseK})
			}
			return all
		}
		one.cruise = func(ambient, speed float64) float64 {
			return car.CruiseRise(c.Car, c.Intakes[0], ambient-273.15, speed)
		}
		f(one)
	}
}

// probes are the constant errors of a car's probes in K: those of probes of
// which only the class is known, anything within ±2.5 K (IEC 60584-1, class 2),
// and those that a comparison to within comparedTo left.
type probes struct{ class, left map[drive.Role]float64 }

// comparedTo is the standard uncertainty that an owner's comparison leaves, K.
const comparedTo = 0.3

func drawProbes(random *rand.Rand) probes {
	p := probes{map[drive.Role]float64{}, map[drive.Role]float64{}}
	for _, r := range []drive.Role{drive.Ambient, drive.Intake, drive.EngineBay, drive.TopTank, drive.RadiatorAir} {
		p.class[r], p.left[r] = 5*random.Float64()-2.5, comparedTo*random.NormFloat64()
	}
	return p
}

// compared is the course as read by probes that were compared.
func (x course) compared() course {
	d := *x.drive
	d.Channels = maps.Clone(x.drive.Channels)
	for _, r := range []drive.Role{drive.Intake, drive.Ambient} {
		c := *d.Channels[r]
		v := slices.Clone(c.Series.Value)
		for i := range v {
			v[i] += x.probes.left[r] - x.probes.class[r]
		}
		c.Uncertainty, c.Series = comparedTo, c.Series.With(c.Series.Name, c.Series.Dimension, v)
		d.Channels[r] = &c
	}
	x.drive = &d
	return x
}

func pullKind(held float64, what string) string {
	return what + ", " + strconv.Itoa(int(held)) + " s"
}

// simulated calls f with cars of the project's own simulator.
func simulated(t testing.TB, seed uint64, cars, drives int, low, high float64, f func(proofCar)) {
	for i := range cars {
		random := rand.New(rand.NewPCG(seed, uint64(i)))
		between := func(a, b float64) float64 { return a + (b-a)*random.Float64() }
		c, in := simulate.HealthyRadiator(simulate.DemoCar()), simulate.OpenFilters()
		for _, p := range []*float64{&c.EngineCapacity, &c.TopTankCapacity, &c.CoreCapacity, &c.BayCapacity, &c.MetalCapacity, &c.LeakConductance, &c.OpenConductance,
			&c.BlockToBay, &c.MetalToBay, &c.TopTankToBay, &c.CoreUA, &c.FanAirCapacity, &c.RamAirCapacity, &c.RadiatorToBay, &c.BayVent, &c.BayVentPerSpeed, &c.CoolantShare, &c.ExhaustShare} {
			*p *= math.Exp(0.2 * random.NormFloat64())
		}
		name := "own, heat balance"
		if i%2 == 1 {
			c.Law, name = simulate.Proportional, "own, proportional"
		}
		if random.IntN(2) == 0 {
			c = simulate.SoakingHead(c)
		}
		c.Recirculation, c.PowerExponent, c.Lambda = max(0, between(-0.3, 0.3)), 0.6, between(0.85, 1)
		bead := simulate.Probe{Lag: 5, LagMoving: 2.5, Radiation: between(0, 0.01), RadiationSpeed: between(3, 15)}
		c.RadiatorToBay = min(c.RadiatorToBay, 0.9)
		c.Thermostat.Start = 273.15 + between(74, 90)
		in.BayShare, in.DuctUA = between(0.3, 0.95), max(0, between(-1, 2))
		errors := drawProbes(random)
		one := proofCar{name: name}
		for n := range drives {
			w := simulate.Conditions{Ambient: 273.15 + between(low, high), Drift: between(-1, 2), Day: trafficDay(random)}
			h := simulate.Run(c, in, simulate.DrawDriver(random).Drive(mixedRoad(random), 1, random), w)
			x := course{name: name, probes: errors, ambient: w.Ambient, opening: h.Opening, drive: recorded(t, h, bead, errors.class, random, n)}
			for j := range h.Len() {
				x.rise = append(x.rise, h.Intake[j]-h.Ambient[j])
				x.radiator = append(x.radiator, h.Intake[j]-h.IntakeWithoutRadiator[j])
			}
			one.courses = append(one.courses, x)
		}
		one.pulls = func(ambient float64) []pull { return simulatedPulls(c, in, ambient, trafficDay(random)) }
		one.cruise = func(ambient, speed float64) float64 {
			trace := simulate.Trace{Step: 1}
			for range 1200 {
				trace.Speed = append(trace.Speed, speed)
			}
			h := simulate.Run(c, in, trace, simulate.Conditions{Ambient: ambient, Initial: hot(c, ambient)})
			return h.Intake[1199] - ambient
		}
		f(one)
	}
}

// trafficDay is a day on which, once in four times, another vehicle is ahead.
func trafficDay(random *rand.Rand) simulate.Day {
	d := simulate.DrawDay(random)
	if random.IntN(4) == 0 {
		d.Wake = 0.1 + 0.4*random.Float64()
	}
	return d
}

func hot(c simulate.Car, ambient float64) simulate.State {
	s := simulate.Cold(ambient)
	s.Engine, s.Wax, s.TopTank, s.Core, s.Bay = c.Thermostat.Start+3, c.Thermostat.Start+3, c.Thermostat.Start, ambient+20, ambient+15
	return s
}

// simulatedPulls are loads after a cruise, at the speed that the engine's power
// allows or at a held one.
func simulatedPulls(c simulate.Car, in simulate.Intake, ambient float64, day simulate.Day) (all []pull) {
	const lead = 900
	for _, full := range []bool{true, false} {
		for g := 0.0; g < 0.065; g += 0.01 {
			v := 85 / 3.6
			if !full {
				v = 80 / 3.6
			}
			before := v
			trace := simulate.Trace{Step: 1}
			for i := range lead + 301 {
				grade := 0.0
				if i >= lead {
					grade = g
					if full {
						force := c.MaxPower/v - c.Mass*9.81*(c.RollingFactor+g) - 0.6*c.DragArea*v*v
						v += min(force/c.Mass, 2.4)
					}
				}
				trace.Speed, trace.Grade = append(trace.Speed, v), append(trace.Grade, grade)
			}
			h := simulate.Run(c, in, trace, simulate.Conditions{Ambient: ambient, Initial: hot(c, ambient), Day: day})
			for _, held := range []int{10, 60, 300} {
				x := Condition{Ambient: kelvinOf(ambient), Before: speedOf(before), Speed: speedOf(trace.Speed[lead+held]), Grade: g, Held: time.Duration(held) * time.Second}
				kind := "held 80 km/h"
				if full {
					x.Airflow, kind = RelativeAirflow(c.MaxPower/c.Mass), "full throttle"
				} else if held < 300 {
					continue
				}
				all = append(all, pull{pullKind(float64(held), kind), x, h.Intake[lead+held] - ambient})
			}
		}
	}
	return all
}

// recorded is what loggers and a phone made of a drive.
func recorded(t testing.TB, h *simulate.History, bead simulate.Probe, offsets map[drive.Role]float64, random *rand.Rand, n int) *drive.Drive {
	start := time.Date(2026, 6, 1+n, 9, 0, 0, 0, time.UTC)
	d := &drive.Drive{Name: "drive " + strconv.Itoa(n+1), Start: start, Channels: map[drive.Role]*drive.Channel{}}
	truth := map[drive.Role][]float64{drive.Ambient: h.Ambient, drive.Intake: h.Intake, drive.EngineBay: h.Bay, drive.TopTank: h.TopTank, drive.RadiatorAir: h.RadiatorAir}
	cabin := make([]float64, h.Len()) // it warms up by 15 K, and the logger in it
	for i := range cabin {
		cabin[i] = h.Ambient[i] - 15*math.Expm1(-float64(i)/600)
	}
	logger := simulate.Logger{Period: 2, Resolution: 0.1, Noise: 0.1, Junction: simulate.ColdJunction(cabin, 0.05*random.Float64(), 900)}
	add := func(role drive.Role, at, v []float64) {
		dim, _ := role.Dimension()
		s, err := series.New(string(role), dim, start, at, v)
		if err != nil {
			t.Fatal(err)
		}
		d.Channels[role] = &drive.Channel{Role: role, Series: s, Device: "logger"}
	}
	for _, role := range []drive.Role{drive.Ambient, drive.Intake, drive.EngineBay, drive.TopTank, drive.RadiatorAir} {
		x := bead.Read(truth[role], h.Metal, h.Speed)
		var at, v []float64
		for _, row := range logger.Rows(start, [][]float64{x}, random) {
			at, v = append(at, row.Clock.Sub(start).Seconds()), append(v, row.Values[0]+offsets[role])
		}
		add(role, at, v)
	}
	var at, v, height []float64
	z, wander := 200.0, 0.0
	for i := range h.Speed {
		z += h.Speed[i] * h.Grade[i]
		wander += -wander/60 + 0.4*random.NormFloat64()
		at, v, height = append(at, float64(i)), append(v, math.Max(0, h.Speed[i]+0.12*random.NormFloat64())), append(height, z+wander)
	}
	add(drive.Speed, at, v)
	add(drive.Altitude, at, height)
	return d
}

// mixedRoad is a cold start, villages, country road with hills, motorway and
// stops, in random order.
func mixedRoad(random *rand.Rand) []simulate.Leg {
	between := func(a, b float64) float64 { return a + (b-a)*random.Float64() }
	legs := []simulate.Leg{{Stand: between(5, 60)}, {Speed: between(40, 75) / 3.6, Distance: between(6000, 9000)}}
	for range 8 {
		switch random.IntN(4) {
		case 0:
			for range 2 + random.IntN(4) {
				legs = append(legs, simulate.Leg{Speed: between(25, 45) / 3.6, Distance: between(100, 400)}, simulate.Leg{Stand: between(5, 40)})
			}
		case 1, 2:
			legs = append(legs, simulate.Leg{Speed: between(60, 90) / 3.6, Distance: between(2000, 6000), Grade: between(-0.03, 0.03)})
		case 3:
			legs = append(legs, simulate.Leg{Speed: between(95, 120) / 3.6, Distance: between(3000, 8000), FullThrottle: random.IntN(2) == 0})
		}
	}
	return legs
}
