package simulate_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

// steady drives at a speed, in steps of 1 s.
func steady(speed float64, seconds int, grade float64) simulate.Trace {
	tr := simulate.Trace{Step: 1}
	for range seconds {
		tr.Speed, tr.Grade, tr.Running = append(tr.Speed, speed), append(tr.Grade, grade), append(tr.Running, true)
	}
	return tr
}

// After switch-off the coolant rises by 5 to 15 K (common practice, no source)
// where the head is metal of its own, hardly where it is not, and the heat
// balance still closes.
func TestCoolantSoaksAfterSwitchOff(t *testing.T) {
	for _, kmh := range []float64{80, 95, 110} {
		tr := steady(kmh/3.6, 1500, 0)
		for range 600 {
			tr.Speed, tr.Grade, tr.Running = append(tr.Speed, 0), append(tr.Grade, 0), append(tr.Running, false)
		}
		rise := func(c simulate.Car) float64 {
			h := simulate.Run(c, simulate.OpenFilters(), tr, simulate.Conditions{Ambient: 293})
			if math.Abs(h.EnergyError) > 1e-12 {
				t.Errorf("%g km/h: %.2g of the heat unaccounted for", kmh, h.EnergyError)
			}
			return slices.Max(h.Coolant[1500:]) - h.Coolant[1498]
		}
		if got := rise(simulate.SoakingHead(simulate.DemoCar())); got < 5 || got > 15 {
			t.Errorf("from %g km/h the coolant rises by %.1f K after switch-off", kmh, got)
		}
		if got := rise(simulate.DemoCar()); got > 1 {
			t.Errorf("the demo's car, from %g km/h: %.1f K", kmh, got)
		}
	}
}

// A healthy radiator keeps the coolant below 105 °C on a climb of 10 %, where
// the demo's car boils.
func TestHealthyRadiatorOnAClimb(t *testing.T) {
	climb := func(c simulate.Car) float64 {
		h := simulate.Run(c, simulate.OpenFilters(), steady(60/3.6, 2400, 0.10), simulate.Conditions{Ambient: 303.15})
		return slices.Max(h.Coolant) - 273.15
	}
	if got := climb(simulate.HealthyRadiator(simulate.DemoCar())); got > 105 || got < 85 {
		t.Errorf("healthy: %.1f °C", got)
	}
	if got := climb(simulate.DemoCar()); got < 105 {
		t.Errorf("the demo's car: %.1f °C", got)
	}
}

// Air that has been through the radiator before: its excess x at the share r
// satisfies x = r·(x + ε·(D − x)), the mixing balance written out; at speed it
// is gone.
func TestRadiatorAirIsDrawnBackIn(t *testing.T) {
	c := simulate.DemoCar()
	c.Recirculation = 0.3
	still := simulate.Run(c, simulate.OpenFilters(), steady(0, 4000, 0), simulate.Conditions{Ambient: 303})
	i := still.Len() - 1
	front, out := still.Front[i]-303, still.RadiatorAir[i]-303
	if front < 2 || math.Abs(front-0.3*out) > 0.01*front {
		t.Errorf("in front %.2f K, a share of 0.3 of the %.2f K behind", front, out)
	}
	plain := simulate.Run(simulate.DemoCar(), simulate.OpenFilters(), steady(0, 4000, 0), simulate.Conditions{Ambient: 303})
	if plain.Front[i] != 303 || still.Intake[i] < plain.Intake[i]+0.3*front {
		t.Errorf("the air drawn: %.1f K, without %.1f K", still.Intake[i], plain.Intake[i])
	}
	if fast := simulate.Run(c, simulate.OpenFilters(), steady(25, 900, 0), simulate.Conditions{Ambient: 303}); fast.Front[800]-303 > 0.02 {
		t.Errorf("at 90 km/h %.3f K", fast.Front[800]-303)
	}
}

// Full power falls with the air drawn as (298 K/T)^0.6 (ISO 1585, the exponent
// for naturally aspirated petrol engines).
func TestPowerDependsOnItsAir(t *testing.T) {
	c := simulate.DemoCar()
	c.PowerExponent = 0.6
	h := simulate.Run(c, simulate.OpenFilters(), steady(25, 900, 0.2), simulate.Conditions{Ambient: 308})
	for _, i := range []int{100, 500, 899} {
		if want := c.MaxPower * math.Pow(298.15/h.Intake[i-1], 0.6); math.Abs(h.WheelPower[i]-want) > 1e-6*want {
			t.Errorf("%d s: %.1f W, want %.1f W", i, h.WheelPower[i], want)
		}
	}
}

// A carburettor's mixture leans with the root of its air's density: fuel follows
// the root of density, air density itself.
func TestMixtureFollowsDensity(t *testing.T) {
	c := simulate.DemoCar()
	c.Lambda = 0.9
	ratio := func(ambient float64) (perFuel, intake float64) {
		h := simulate.Run(c, simulate.ColdAirDuct(), steady(20, 300, 0), simulate.Conditions{Ambient: ambient})
		return h.AirFlow[299] / h.FuelPower[299] * 43e6, h.Intake[298]
	}
	for _, ambient := range []float64{263, 293, 313} {
		got, intake := ratio(ambient)
		if want := 14.7 * 0.9 * math.Sqrt(298.15/intake); math.Abs(got-want) > 1e-3 {
			t.Errorf("%g K outside: %.4f kg of air for each of fuel, want %.4f", ambient, got, want)
		}
	}
}

// The two laws agree at 20 °C; from 5 to 35 °C the rise hardly changes under
// one and goes with coolant minus outside air under the other.
func TestLawsOfAmbient(t *testing.T) {
	rise := func(law simulate.AmbientLaw, celsius float64) (float64, float64) {
		c := simulate.DemoCar()
		c.Law = law
		h := simulate.Run(c, simulate.OpenFilters(), steady(22, 2400, 0), simulate.Conditions{Ambient: 273.15 + celsius})
		return h.Intake[2399] - h.Ambient[2399], h.Coolant[2399]
	}
	balance20, _ := rise(simulate.HeatBalance, 20)
	if at20, _ := rise(simulate.Proportional, 20); math.Abs(at20-balance20) > 1e-9 {
		t.Errorf("at 20 °C %.3f and %.3f K", balance20, at20)
	}
	for _, celsius := range []float64{5, 35} {
		balance, coolant := rise(simulate.HeatBalance, celsius)
		if math.Abs(balance/balance20-1) > 0.1 {
			t.Errorf("heat balance at %g °C: %.2f K, at 20 °C %.2f K", celsius, balance, balance20)
		}
		want := balance * (coolant - 273.15 - celsius) / (coolant - 293.15)
		if got, _ := rise(simulate.Proportional, celsius); math.Abs(got-want) > 1e-9 {
			t.Errorf("proportional at %g °C: %.3f K, want %.3f K", celsius, got, want)
		}
	}
}

// A wake that takes 0.4 of the stream does what a tail wind of 0.4 of the speed
// does.
func TestWakeIsATailWind(t *testing.T) {
	run := func(d simulate.Day) *simulate.History {
		return simulate.Run(simulate.DemoCar(), simulate.OpenFilters(), steady(25, 1800, 0), simulate.Conditions{Ambient: 290, Day: d})
	}
	wake, wind, still := run(simulate.Day{Wake: 0.4}), run(simulate.Day{Headwind: -10}), run(simulate.Day{})
	if a, b := wake.Intake[1799], wind.Intake[1799]; math.Abs(a-b) > 1e-9 {
		t.Errorf("%.6f K in a wake, %.6f K with the wind", a, b)
	}
	if wake.FuelPower[1799] >= still.FuelPower[1799] {
		t.Error("a wake costs fuel")
	}
}

// A refitted probe brings its own constant; radiation falls with the root of the
// stream, to half at its speed.
func TestProbeOffsetAndRadiation(t *testing.T) {
	n := 200
	air, metal, speed := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range air {
		air[i], metal[i], speed[i] = 300, 500, 10
	}
	for _, c := range []struct {
		p    simulate.Probe
		want float64
	}{
		{simulate.Probe{Offset: 1.3}, 301.3}, {simulate.Probe{Radiation: 0.02}, 304}, {simulate.Probe{Radiation: 0.02, RadiationSpeed: 10}, 302},
		{simulate.Probe{Radiation: 0.02, RadiationSpeed: 2.5}, 300 + 4.0/3}, {simulate.Probe{Radiation: 0.02, RadiationSpeed: 10, Offset: -0.5, Lag: 5}, 301.5},
	} {
		if got := c.p.Read(air, metal, speed)[n-1]; math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%+v reads %.4f K, want %.4f K", c.p, got, c.want)
		}
	}
}

// The cold junction's error follows the case exponentially and is common to all
// channels: their difference does not know it.
func TestColdJunctionDrifts(t *testing.T) {
	n := 3000
	air := make([]float64, n)
	for i := range air {
		air[i] = 290
		if i > 0 {
			air[i] = 310
		}
	}
	drift := simulate.ColdJunction(air, 0.04, 600)
	for _, i := range []int{600, 2400} {
		if want := 0.8 * -math.Expm1(-float64(i)/600); math.Abs(drift[i]-want) > 1e-9 {
			t.Errorf("after %d s %.4f K, closed form %.4f K", i, drift[i], want)
		}
	}
	flat := make([]float64, n)
	for i := range flat {
		flat[i] = 300
	}
	rows := simulate.Logger{Period: 2, Junction: drift}.Rows(time.Time{}, [][]float64{flat, flat}, rand.New(rand.NewPCG(1, 1)))
	last := rows[len(rows)-1].Values
	if last[0] != last[1] || math.Abs(last[0]-300-drift[n-2]) > 1e-9 {
		t.Errorf("the channels read %v, drifted by %.3f K", last, drift[n-2])
	}
}

// Drivers differ in how fast they are away and how hard they brake, and the usual
// one is the demo's.
func TestDriversDiffer(t *testing.T) {
	legs := []simulate.Leg{{Speed: 20, Distance: 1500}, {Stand: 10}}
	most := func(tr simulate.Trace) (up, down, top float64) {
		for i := 1; i < len(tr.Speed); i++ {
			a := (tr.Speed[i] - tr.Speed[i-1]) / tr.Step
			up, down, top = math.Max(up, a), math.Min(down, a), math.Max(top, tr.Speed[i])
		}
		return up, down, top
	}
	same := simulate.Drive(legs, 1, rand.New(rand.NewPCG(3, 4)))
	if !slices.Equal(same.Speed, simulate.UsualDriver().Drive(legs, 1, rand.New(rand.NewPCG(3, 4))).Speed) {
		t.Error("the usual driver does not drive as Drive does")
	}
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 5))
		who := simulate.DrawDriver(random)
		who.Wander = 0
		up, down, top := most(who.Drive(legs, 1, random))
		if math.Abs(up-who.Acceleration) > 0.05*who.Acceleration || down > -0.9*who.Braking || down < -2.5 || math.Abs(top-20*who.Haste) > 0.01 {
			t.Errorf("%+v: %.2f m/s² up, %.2f down, %.2f m/s", who, up, down, top)
		}
	}
}
