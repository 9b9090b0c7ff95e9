package simulate

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Car holds the parameters of the lumped model. Capacities are in J/K,
// conductances in W/K, powers in W, temperatures in K. DemoCar returns our
// invented car; the values are chosen to behave like one, not measured.
type Car struct {
	Mass            float64 // kg
	RollingFactor   float64 // 1
	DragArea        float64 // m², drag coefficient times frontal area
	MaxPower        float64 // W at the wheels
	IdleFuelPower   float64 // W of fuel heat at idle
	BrakeEfficiency float64 // wheel power per extra fuel power
	CoolantShare    float64 // share of fuel power into the coolant
	ExhaustShare    float64 // share of fuel power into hot metal of the bay

	EngineCapacity  float64 // block and coolant
	TopTankCapacity float64
	CoreCapacity    float64 // radiator core and bottom tank
	BayCapacity     float64 // bay air and thin sheet
	MetalCapacity   float64 // manifold and pipes

	LeakConductance float64 // coolant flow × cp past the closed thermostat
	OpenConductance float64 // coolant flow × cp through the open one
	BlockToBay      float64
	MetalToBay      float64
	TopTankToBay    float64
	CoreUA          float64 // radiator, per (air capacity rate)^0.5
	FanAirCapacity  float64 // air capacity rate of the engine-driven fan
	RamAirCapacity  float64 // more air capacity rate per m/s
	RadiatorToBay   float64 // share of radiator air that enters the bay
	BayVent         float64 // fresh air capacity rate at rest
	BayVentPerSpeed float64 // more per m/s
	Boiling         float64 // K, the coolant gets no hotter; 0 for no limit

	Thermostat Thermostat
}

// Thermostat is a wax thermostat: it begins to open at Start, is fully open
// Span above, follows the coolant with a lag and closes lower than it opens.
// Spans and hysteresis: workshop limits of wax thermostats (full lift 13 to
// 15 K above the stamp, closed 3 to 7 K below the start), common practice, no
// source.
type Thermostat struct {
	Start      float64 // K
	Span       float64 // K
	Hysteresis float64 // K
	Lag        float64 // s
	// StuckOpen holds the valve at this lift, 0 for a working one.
	StuckOpen float64
}

// Intake says how the engine breathes.
type Intake struct {
	Name string
	// BayShare is the share of bay air in what the engine draws at rest; it
	// falls by BayShareFade per m/s but never below a fifth of it.
	BayShare, BayShareFade float64
	// DuctUA is the conductance through the duct's wall, W/K; 0 for none.
	DuctUA float64
}

// DemoCar returns the demo's invented 1.6-litre saloon of the early seventies
// with an 82 °C thermostat.
func DemoCar() Car {
	return Car{
		Mass: 1120, RollingFactor: 0.015, DragArea: 0.78, MaxPower: 46e3,
		IdleFuelPower: 7e3, BrakeEfficiency: 0.29, CoolantShare: 0.27, ExhaustShare: 0.035,
		EngineCapacity: 62e3, TopTankCapacity: 5e3, CoreCapacity: 9e3, BayCapacity: 4e3, MetalCapacity: 3.5e3,
		LeakConductance: 9, OpenConductance: 2200, BlockToBay: 22, MetalToBay: 5, TopTankToBay: 4,
		CoreUA: 22, FanAirCapacity: 95, RamAirCapacity: 13, RadiatorToBay: 0.6,
		BayVent: 14, BayVentPerSpeed: 3.2, Boiling: quantity.Celsius(112).Kelvin(),
		Thermostat: Thermostat{Start: quantity.Celsius(82).Kelvin(), Span: 13, Hysteresis: 3, Lag: 8},
	}
}

// OpenFilters draws from the bay, ColdAirDuct from the grille through a hose.
func OpenFilters() Intake { return Intake{Name: "open filters", BayShare: 0.92, BayShareFade: 0.010} }

// ColdAirDuct draws from the grille through a hose that passes the bay.
func ColdAirDuct() Intake {
	return Intake{Name: "cold-air duct", BayShare: 0.07, BayShareFade: 0.002, DuctUA: 1.6}
}

// load is what the engine does at one instant.
type load struct{ fuel, air, wheel float64 }

const (
	gravity    = float64(quantity.StandardGravity)
	airDensity = 1.2
	airPerFuel = 13.5 / 43e6 // kg of air per joule of fuel: ratio 13.5, 43 MJ/kg
	airHeat    = 1005.0      // J/(kg K)
)

// load returns fuel power, air flow and wheel power for a speed, the wind
// against it, its change and the grade.
func (c *Car) load(v, wind, a, grade float64, running bool) load {
	if !running {
		return load{}
	}
	f := c.Mass*a + c.Mass*gravity*(c.RollingFactor+grade) + 0.5*airDensity*c.DragArea*(v+wind)*math.Abs(v+wind)
	p := math.Min(f*v, c.MaxPower)
	fuel := c.IdleFuelPower
	if p > 0 {
		fuel += p / c.BrakeEfficiency
	}
	return load{fuel: fuel, air: fuel * airPerFuel, wheel: p}
}
