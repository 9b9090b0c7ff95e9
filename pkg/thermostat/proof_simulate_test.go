//go:build proof

package thermostat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// A simulatedVariant is a physical variant of the project's own simulator.
// Ranges as for the plain one, but for what is said; equal weight each.
type simulatedVariant struct {
	name    string
	adjust  func(*simulate.Car, func(a, b float64) float64)
	tankLag [2]float64 // s, of probes in coolant
	probe   [2]float64
}

var simulatedVariants = []simulatedVariant{
	{"plain", nil, [2]float64{2, 20}, [2]float64{1, 6}},
	{"wide hysteresis", func(c *simulate.Car, between func(a, b float64) float64) {
		c.Thermostat.Hysteresis, c.Thermostat.Lag = between(6, 7), between(15, 25)
	}, [2]float64{2, 20}, [2]float64{1, 6}},
	{"fast tank", func(c *simulate.Car, between func(a, b float64) float64) { c.TopTankCapacity *= 0.3 }, [2]float64{2, 20}, [2]float64{1, 6}},
	{"slow tank", func(c *simulate.Car, between func(a, b float64) float64) { c.TopTankCapacity *= 2.5 }, [2]float64{2, 20}, [2]float64{1, 6}},
	{"leaking valve", func(c *simulate.Car, between func(a, b float64) float64) { c.LeakConductance = between(9, 30) }, [2]float64{2, 20}, [2]float64{1, 6}},
	{"quick probe", nil, [2]float64{1, 3}, [2]float64{1, 3}},
	{"slow probe", nil, [2]float64{20, 60}, [2]float64{8, 30}},
}

// simulated calls f with the drives of one kind, each at each logger's step.
// A car is driven three times.
func simulated(v simulatedVariant, kind string, seed uint64, cars int, f func(step float64, p proofDrive)) {
	for number := range cars {
		random := rand.New(rand.NewPCG(seed, uint64(number)))
		one := drawSimulated(v, kind, random)
		for n := range 3 {
			u := random.Float64()
			h := one.drive(kind, random)
			for _, step := range proofSteps {
				name := fmt.Sprintf("%s, car %d, drive %d, %g s, %s", v.name, number, n+1, step, kind)
				p, ok := one.read(h, kind, name, step, u, rand.New(rand.NewPCG(seed+uint64(n)<<32, uint64(number))))
				if p.car = fmt.Sprintf("%s %d", v.name, number); ok {
					f(step, p)
				}
			}
		}
	}
}

// A simulatedCar is a car with its probes and logger.
type simulatedCar struct {
	car              simulate.Car
	intake           simulate.Intake
	tankLag, coolant float64
	resolution       float64
	noise            float64
	air              simulate.Probe
}

func drawSimulated(v simulatedVariant, kind string, random *rand.Rand) simulatedCar {
	between := func(a, b float64) float64 { return a + (b-a)*random.Float64() }
	c := simulatedCar{car: simulate.DemoCar(), intake: simulate.OpenFilters()}
	car := &c.car
	for _, p := range []*float64{&car.EngineCapacity, &car.TopTankCapacity, &car.CoreCapacity, &car.BayCapacity, &car.MetalCapacity,
		&car.LeakConductance, &car.OpenConductance, &car.BlockToBay, &car.MetalToBay, &car.TopTankToBay, &car.CoreUA,
		&car.FanAirCapacity, &car.RamAirCapacity, &car.RadiatorToBay, &car.BayVent} {
		*p *= math.Exp(0.25 * random.NormFloat64())
	}
	car.RadiatorToBay = min(car.RadiatorToBay, 0.9)
	if random.IntN(2) == 0 {
		*car = simulate.SoakingHead(*car)
	}
	car.Recirculation, car.PowerExponent, car.Lambda = max(0, between(-0.3, 0.3)), 0.6, between(0.85, 1)
	car.LeakConductance *= 0.6
	car.Thermostat.Start = 273.15 + []float64{74, 76, 82, 82, 88, 92}[random.IntN(6)] + between(-2, 2)
	car.Thermostat.Span = between(10, 15)
	car.Thermostat.Hysteresis = between(1, 6)
	car.Thermostat.Lag = between(4, 20)
	if v.adjust != nil {
		v.adjust(car, between)
	}
	if kind == kindStuck {
		car.Thermostat.StuckOpen = between(0.15, 1)
	}
	if random.IntN(3) == 0 {
		c.intake = simulate.ColdAirDuct()
	}
	c.tankLag, c.coolant = between(v.tankLag[0], v.tankLag[1]), between(v.probe[0], v.probe[1])
	c.resolution, c.noise = []float64{0.1, 0.1, 0.1, 0.5, 1}[random.IntN(5)], between(0.03, 0.2)
	c.air = simulate.Probe{Lag: between(3, 8), LagMoving: 2.5, Radiation: between(0, 0.01)}
	return c
}

// drive drives the car once more, on a road of its own.
func (c simulatedCar) drive(kind string, random *rand.Rand) *simulate.History {
	between := func(a, b float64) float64 { return a + (b-a)*random.Float64() }
	w := simulate.Conditions{Ambient: 273.15 + between(-8, 33), Drift: between(-1, 2), Day: simulate.DrawDay(random)}
	if random.IntN(4) == 0 {
		w.Day.Wake = between(0.1, 0.5)
	}
	warm := func(engine float64) {
		w.Initial = simulate.Cold(w.Ambient)
		w.Initial.Engine, w.Initial.Wax = engine, engine
		w.Initial.TopTank = engine - 3
		w.Initial.Core = engine - between(5, 30)
		w.Initial.Bay = w.Ambient + between(15, 40)
	}
	switch kind {
	case kindHot:
		warm(c.car.Thermostat.Start + between(4, 9))
		w.Initial.Lift = 0.4
	case kindTepid:
		warm(c.car.Thermostat.Start - between(4, 34))
		cooled := between(0.3, 0.9) // the radiator cools faster than the block
		w.Initial.TopTank = w.Ambient + cooled*(w.Initial.Engine-w.Ambient)
		w.Initial.Core = w.Ambient + 0.9*cooled*(w.Initial.Engine-w.Ambient)
	}
	legs := randomRoad(random)
	switch kind {
	case kindHop:
		legs = legs[:2]
	case kindParked:
		legs = append([]simulate.Leg{legs[0], {Speed: between(30, 80) / 3.6, Distance: between(1500, 5000)}, {Stand: between(120, 900), EngineOff: true}}, legs[1:]...)
	}
	return simulate.Run(c.car, c.intake, simulate.DrawDriver(random).Drive(legs, 1, random), w)
}

// read is what the loggers recorded, cut as the kind asks.
func (c simulatedCar) read(h *simulate.History, kind, name string, step, u float64, random *rand.Rand) (proofDrive, bool) {
	logger := simulate.Logger{Period: step, Resolution: c.resolution, Noise: c.noise, Late: 15 * random.Float64()}
	see := func(truth []float64, p simulate.Probe) []float64 { return p.Read(truth, h.Metal, h.Speed) }
	channels := map[drive.Role][]float64{
		drive.TopTank:    see(h.TopTank, simulate.Probe{Lag: c.tankLag}),
		drive.BottomTank: see(h.BottomTank, simulate.Probe{Lag: c.tankLag}),
		drive.Coolant:    see(h.Coolant, simulate.Probe{Lag: c.coolant}),
		drive.Intake:     see(h.Intake, c.air),
		drive.EngineBay:  see(h.Bay, c.air),
		drive.Ambient:    see(h.Ambient, c.air),
	}
	start := time.Date(2026, 6, 1, 9, 0, 0, 0, time.UTC)
	d := &drive.Drive{Name: name, Start: start, Channels: map[drive.Role]*drive.Channel{}}
	for _, role := range []drive.Role{drive.TopTank, drive.BottomTank, drive.Coolant, drive.Intake, drive.EngineBay, drive.Ambient, drive.Speed} {
		var t, v []float64
		if role == drive.Speed {
			for i := range h.Len() {
				t, v = append(t, float64(i)), append(v, max(0, h.Speed[i]+0.12*random.NormFloat64()))
			}
		} else {
			for _, row := range logger.Rows(start, [][]float64{channels[role]}, random) {
				t, v = append(t, row.Clock.Sub(start).Seconds()), append(v, row.Values[0])
			}
		}
		dim, _ := role.Dimension()
		s, err := series.New(string(role), dim, start, t, v)
		if err != nil {
			panic(err)
		}
		d.Channels[role] = &drive.Channel{Role: role, Series: s}
	}
	opened := !math.IsNaN(h.Opening) && kind != kindStuck && kind != kindHot
	p := proofDrive{drive: d, truth: h.Opening, kind: kind}
	if !opened {
		p.truth = math.NaN()
	}
	return cutToKind(p, opened, kind == kindHot, u, float64(h.Len()))
}

// randomRoad mixes villages, steady road, hills, motorway and stops.
func randomRoad(random *rand.Rand) []simulate.Leg {
	legs := []simulate.Leg{{Stand: 5 + 120*random.Float64()}}
	for range 9 {
		switch random.IntN(4) {
		case 0:
			for range 2 + random.IntN(5) {
				legs = append(legs, simulate.Leg{Speed: (25 + 20*random.Float64()) / 3.6, Distance: 100 + 300*random.Float64()},
					simulate.Leg{Stand: 5 + 40*random.Float64()})
			}
		case 1:
			legs = append(legs, simulate.Leg{Speed: (60 + 30*random.Float64()) / 3.6, Distance: 1500 + 4000*random.Float64(), Grade: 0.03 * (random.Float64() - 0.5)})
		case 2:
			legs = append(legs, simulate.Leg{Speed: (95 + 25*random.Float64()) / 3.6, Distance: 3000 + 5000*random.Float64(), FullThrottle: random.IntN(2) == 0})
		case 3:
			legs = append(legs, simulate.Leg{Speed: 50 / 3.6, Distance: 500 + 1500*random.Float64()}, simulate.Leg{Stand: 20 + 100*random.Float64()})
		}
	}
	return legs
}
