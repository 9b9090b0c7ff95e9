// Package car is the judge's engine, cooling circuit and engine bay as lumped
// masses. Plain float64: SI, temperatures in °C (suffix C), differences in
// kelvin (suffix K). Equations and sources: the documentation of the package
// above; ranges: ranges.go.
package car

// Cooling is what carries the heat off.
type Cooling int

// Liquid cooling has a valve and a radiator; Air cooling has neither.
const (
	Liquid Cooling = iota
	Air
)

// Mixture is how fuel is metered.
type Mixture int

// A fixed jet and a constant-depression carburettor lean out with the square
// root of the air's density; injection holds its mixture.
const (
	FixedJet Mixture = iota
	ConstantDepression
	Injection
)

// Bypass is where the coolant goes while the valve is shut.
type Bypass int

// A two-way valve shuts the by-pass as it opens; a fixed one stays; without
// one only the pump's slip moves the coolant.
const (
	ClosingBypass Bypass = iota
	FixedBypass
	NoBypass
)

// AmbientLaw says how the bay's heat follows the outside temperature.
type AmbientLaw int

// Physical is what the heat balance gives. Proportional scales every source
// with coolant minus ambient, Flat holds them at 15 °C, Measured is flat with
// the slopes of a real car (0.05 K/K at 60 to 95 km/h, 0.11 below, -0.01
// above, each drawn within its published uncertainty).
const (
	Physical AmbientLaw = iota
	Proportional
	Flat
	Measured
)

// Car is one car's constants.
type Car struct {
	Variant string
	Cooling Cooling
	Mixture Mixture

	// Road load and gearing.
	MassKg, DragAreaM2, RollingShare, DrivelineShare float64
	TopGearMPSPerRPM                                 float64

	// Engine.
	DisplacementM3, RatedPowerW, RatedRPM, IdleRPM float64
	IndicatedShare                                 float64 // of the fuel's heat
	FrictionPa, ThrottlingPa                       float64 // mean pressures, warm
	LambdaCruise, LambdaFull                       float64
	PowerTemperatureExponent                       float64

	// Heat of the fuel: to coolant at 40 kW of fuel, its exponent, to the block
	// and oil, to the manifold's metal.
	CoolantShare, CoolantExponent, OilShare, ManifoldShare float64

	// Masses as heat capacities, J/K, and what joins them, W/K.
	HeadJK, JacketJK, BlockJK, ManifoldJK, BonnetJK, BoxJK float64
	HeadWK, BlockWK                                        float64
	PumpKgSPerRPM                                          float64

	// Valve.
	StampC, SpreadK, SpanK, HysteresisK, WaxS float64
	Leak                                      float64 // flow share when shut
	StuckLift                                 float64 // never below this lift
	FlowExponent                              float64 // flow follows lift to this power
	Bypass                                    Bypass
	BypassShare                               float64
	AtInlet                                   bool

	// Radiator and its air.
	UpperKg, CoreKg, LowerKg, HoseKg float64 // water, and metal as water
	RadiatorWK                       float64 // at 1 kg/s of air
	RamKgPerM                        float64 // kg/s of air per m/s
	FanKgS                           float64
	FanElectric                      bool
	FanOnC                           float64
	BoilC                            float64

	// Bay.
	ThroughRadiatorShare float64 // of the bay's air
	BayKgPerM            float64 // air past the engine besides, kg/s per m/s
	DraughtKgS           float64 // standing, fan off
	BlockSkinWK          float64 // block to bay air, standing; grows with speed
	ManifoldSkinWK       float64
	RadiantM2            float64 // emissivity × area of the manifold
	BoxView              float64 // share of that radiation on the air box
	RecirculationShare   float64 // standing, of radiator inlet air
	HeaterWK             float64

	Law          AmbientLaw
	LawSlopePerK [3]float64 // below 60, 60 to 95, above 95 km/h; relative
}

// StartC is where this car's valve truly starts to open.
func (c *Car) StartC() float64 { return c.StampC + c.SpreadK }

// Intake is one configuration: where the engine's air comes from and what
// warms it on the way. Shares sum to at most 1, the rest is outside air.
type Intake struct {
	Name string
	// Of the air drawn: past the radiator, from the bay's front and rear.
	RadiatorShare, FrontShare, RearShare float64
	// StandingShare of what is fresh while moving is bay air when standing.
	StandingShare float64
	// Pick-up from the air box: heat per flow falls with flow to the power
	// PickupExponent (-0.2 turbulent to -1 laminar or fixed area), NTU at 20 g/s.
	PickupNTU, PickupExponent float64
	// FixedHeatW is heat taken up whatever the flow, when everything is hot.
	FixedHeatW float64
	// BoxWK joins the box to the air inside it.
	BoxWK float64
	// CarburettorNTU joins the air in the throat to the warm carburettor.
	CarburettorNTU float64
	// DuctLossPa at 60 g/s.
	DuctLossPa float64
	// OffsetK is added to the air drawn while the engine runs (a plant of known
	// size, the same everywhere); the air is never colder than outside.
	OffsetK float64
}
