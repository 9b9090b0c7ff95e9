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

	// What follows is off in the demo's car; 0 leaves it out.

	// HeadCapacity is that of the metal between combustion and coolant, J/K,
	// hotter than the coolant by the heat that passes over HeadToCoolant, W/K.
	// After switch-off it warms the coolant further ([SoakingHead]).
	HeadCapacity, HeadToCoolant float64
	// Recirculation is the share of the air in front of the radiator that has
	// been through it before, with the car at rest; it falls with the stream as
	// exp(−stream/recirculationSpeed).
	Recirculation float64
	// PowerExponent lets full power fall with the temperature of the air that
	// the engine draws, as (298 K/T)^exponent; ISO 1585 has 0.6.
	PowerExponent float64
	// Lambda is the mixture at 298 K; like a carburettor's it follows the root
	// of the density of its air. 0 takes a fixed 13.5 kg of air for each of fuel.
	Lambda float64
	// Law is how the air's rise follows the outside temperature.
	Law AmbientLaw

	Thermostat Thermostat
}

// AmbientLaw is how the rise of the air drawn follows the outside temperature.
type AmbientLaw int

// The laws. Real cars were seen to follow neither exactly.
const (
	// HeatBalance leaves it to the model: the radiator gives off what the fuel
	// brings, however warm it is outside, so that the rise hardly changes.
	HeatBalance AmbientLaw = iota
	// Proportional makes the rise proportional to coolant minus outside air,
	// equal to that of the heat balance at lawReference.
	Proportional
)

// lawReference is 20 °C.
const lawReference = 293.15

// factor multiplies the rise that the heat balance gives.
func (l AmbientLaw) factor(coolant, ambient float64) float64 {
	if l != Proportional || coolant < lawReference+5 {
		return 1
	}
	return math.Max(0, (coolant-ambient)/(coolant-lawReference))
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

// SoakingHead returns the car with a head whose metal warms the standing
// coolant by 5 to 15 K after switch-off from 80 to 110 km/h, and less from town
// (common practice, no source).
func SoakingHead(c Car) Car {
	c.HeadCapacity, c.HeadToCoolant = 7e3, 125
	return c
}

// HealthyRadiator returns the car with a radiator and fan that keep the coolant
// below 105 °C on a climb of 10 % at 60 km/h and 30 °C outside; the demo's car
// boils there.
func HealthyRadiator(c Car) Car {
	c.CoreUA, c.FanAirCapacity = 55, 210
	return c
}

// load is what the engine does at one instant.
type load struct{ fuel, air, wheel float64 }

const (
	gravity    = float64(quantity.StandardGravity)
	airDensity = 1.2
	airPerFuel = 13.5 / 43e6 // kg of air per joule of fuel: ratio 13.5, 43 MJ/kg
	airHeat    = 1005.0      // J/(kg K)
)

const (
	stoichiometric = 14.7
	fuelHeat       = 43e6   // J/kg
	airReference   = 298.15 // K, of PowerExponent and Lambda
)

// load returns fuel power, air flow and wheel power for a speed, the wind
// against it, its change, the grade and the temperature of the air drawn.
func (c *Car) load(v, wind, a, grade, intake float64, running bool) load {
	if !running {
		return load{}
	}
	f := c.Mass*a + c.Mass*gravity*(c.RollingFactor+grade) + 0.5*airDensity*c.DragArea*(v+wind)*math.Abs(v+wind)
	p := math.Min(f*v, c.fullPower(intake))
	fuel := c.IdleFuelPower
	if p > 0 {
		fuel += p / c.BrakeEfficiency
	}
	air := airPerFuel
	if c.Lambda > 0 {
		air = stoichiometric * c.Lambda * math.Sqrt(airReference/intake) / fuelHeat
	}
	return load{fuel: fuel, air: fuel * air, wheel: p}
}

// fullPower is the most that the engine gives with air of a temperature.
func (c *Car) fullPower(intake float64) float64 {
	if c.PowerExponent == 0 {
		return c.MaxPower
	}
	return c.MaxPower * math.Pow(airReference/intake, c.PowerExponent)
}
