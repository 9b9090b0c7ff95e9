package simulate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/simulate"
)

func valley(seed uint64) simulate.Trace {
	return simulate.Drive(simulate.ValleyRoad(), 1, rand.New(rand.NewPCG(seed, 7)))
}

// Every flow leaves one store and enters another or the outside: the balance
// over a whole drive closes to rounding.
func TestEnergyIsConserved(t *testing.T) {
	for seed := range uint64(5) {
		for _, in := range []simulate.Intake{simulate.OpenFilters(), simulate.ColdAirDuct()} {
			h := simulate.Run(simulate.DemoCar(), in, valley(seed), simulate.Conditions{Ambient: 290, Drift: 2})
			if math.Abs(h.EnergyError) > 1e-12 {
				t.Errorf("seed %d, %s: %.3g of the heat is unaccounted for", seed, in.Name, h.EnergyError)
			}
		}
	}
}

// A block that can only lose heat to the bay, beside a bay held at ambient by
// a strong draught, cools exponentially: T = Ta + ΔT·exp(−t·G/C).
func TestCoolingIsExponential(t *testing.T) {
	c := simulate.DemoCar()
	c.LeakConductance, c.TopTankToBay, c.MetalToBay = 0, 0, 0
	c.BayVent, c.BayCapacity, c.RadiatorToBay = 1e4, 1e4, 0 // bay follows ambient within a second
	start := simulate.Cold(300)
	start.Engine = 350
	tr := simulate.Trace{Step: 1, Speed: make([]float64, 3000), Running: make([]bool, 3000)}
	h := simulate.Run(c, simulate.OpenFilters(), tr, simulate.Conditions{Ambient: 300, Initial: start})
	g := 1 / (1/c.BlockToBay + 1/c.BayVent) // two conductances in series
	for _, i := range []int{600, 1500, 2900} {
		want := 300 + 50*math.Exp(-float64(i+1)*g/c.EngineCapacity)
		if math.Abs(h.Coolant[i]-want) > 0.01 {
			t.Errorf("after %d s: %.3f K, closed form %.3f K", i+1, h.Coolant[i], want)
		}
	}
}

// In the steady state the radiator and the bay give off what the fuel puts in.
func TestSteadyStateBalances(t *testing.T) {
	c := simulate.DemoCar()
	speed := make([]float64, 20000)
	for i := range speed {
		speed[i] = 22
	}
	tr := simulate.Trace{Step: 1, Speed: speed}
	h := simulate.Run(c, simulate.OpenFilters(), tr, simulate.Conditions{Ambient: 288})
	i := h.Len() - 1
	in := (c.CoolantShare + c.ExhaustShare) * h.FuelPower[i]
	air := c.FanAirCapacity + c.RamAirCapacity*22
	radiator := air * (h.RadiatorAir[i] - 288)
	bay := (c.BayVent+c.BayVentPerSpeed*22)*(h.Bay[i]-288) + c.RadiatorToBay*air*(h.Bay[i]-h.RadiatorAir[i])
	if math.Abs(in-radiator-bay) > 1e-3*in {
		t.Errorf("in %.1f W, out %.1f W", in, radiator+bay)
	}
}

// First-order response: 63.2 % after one time constant, t90/t50 = ln 10/ln 2
// = 3.32 (first-order lag, closed form).
func TestProbeStepResponse(t *testing.T) {
	n := 400
	truth, metal, speed := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := 1; i < n; i++ {
		truth[i] = 100
	}
	got := simulate.Probe{Lag: 30}.Read(truth, metal, speed)
	for i := 1; i < n; i += 37 {
		want := 100 * -math.Expm1(-float64(i)/30)
		if math.Abs(got[i]-want) > 1e-9 {
			t.Errorf("after %d s: %v, closed form %v", i, got[i], want)
		}
	}
}

// The thermostat opens at its stamp, closes lower by its hysteresis, and a
// drive in hard frost with little load never opens it.
func TestThermostatOpens(t *testing.T) {
	c := simulate.DemoCar()
	h := simulate.Run(c, simulate.OpenFilters(), valley(3), simulate.Conditions{Ambient: 290})
	if math.IsNaN(h.Opening) {
		t.Fatal("never opened")
	}
	at := h.Coolant[int(h.Opening)] - c.Thermostat.Start
	if at < 0 || at > 3 { // wax lags the coolant by 8 s at about 0.12 K/s
		t.Errorf("coolant %.2f K above the stamp at opening", at)
	}
	short := valley(3)
	short.Speed, short.Grade, short.Running = short.Speed[:300], short.Grade[:300], short.Running[:300]
	if h := simulate.Run(c, simulate.OpenFilters(), short, simulate.Conditions{Ambient: 263}); !math.IsNaN(h.Opening) {
		t.Errorf("opened at %v s in a short drive", h.Opening)
	}
}

// After the opening the bay and so the intake take radiator heat; the duct
// takes less. This is what the model is for.
func TestDuctRunsCooler(t *testing.T) {
	open := simulate.Run(simulate.DemoCar(), simulate.OpenFilters(), valley(1), simulate.Conditions{Ambient: 290})
	duct := simulate.Run(simulate.DemoCar(), simulate.ColdAirDuct(), valley(1), simulate.Conditions{Ambient: 290})
	a, b := open.MeanRise(50/3.6, 85/3.6), duct.MeanRise(50/3.6, 85/3.6)
	if !(a > b+5 && b > 0) {
		t.Errorf("rise %.1f K open, %.1f K duct", a, b)
	}
}

func BenchmarkDrive30Minutes(b *testing.B) {
	for i := 0; b.Loop(); i++ {
		tr := valley(uint64(i))
		tr.Speed, tr.Grade, tr.Running = tr.Speed[:1800], tr.Grade[:1800], tr.Running[:1800]
		simulate.Run(simulate.DemoCar(), simulate.OpenFilters(), tr, simulate.Conditions{Ambient: 290})
	}
}
