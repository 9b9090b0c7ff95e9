package simulate

import "math"

// State holds the temperatures of the model in kelvin and the thermostat.
type State struct {
	Engine, TopTank, Core, Bay, Metal float64
	Wax                               float64
	Lift                              float64 // 0 closed, 1 fully open
	Head                              float64 // metal, where the car has a HeadCapacity; 0 takes the engine's
}

// Cold returns a car that has stood long enough to have the air's temperature.
func Cold(ambient float64) State {
	return State{ambient, ambient, ambient, ambient, ambient, ambient, 0, ambient}
}

// Outside is what the world imposes at one instant.
type Outside struct {
	Ambient float64 // K
	Speed   float64 // m/s
	Wind    float64 // m/s against the direction of travel
	Sun     float64 // W into the bay
	Wet     float64 // 0 to 1, rain
	load
	running bool
}

// Flows are the heat flows of one instant in watts, and what follows from
// them at once.
type Flows struct {
	IntoCoolant, IntoMetal              float64 // from the fuel
	EngineToTank, TankToCore, CoreToEng float64 // carried by coolant
	CoreToAir                           float64 // radiator
	BlockToBay, MetalToBay, TankToBay   float64
	RadiatorAirToBay, VentToBay         float64 // enthalpy above bay air
	Sun                                 float64 // into the bay
	Boiled                              float64 // leaves as steam
	RadiatorAir                         float64 // K, air leaving the radiator
	HeadToEngine                        float64 // where the car has a HeadCapacity
	Front                               float64 // K, air in front of the radiator
}

// recirculationSpeed is the stream in m/s by which air in front of the radiator
// that has been through it falls by a factor e.
const recirculationSpeed = 3.0

// front returns the temperature of the air in front of the radiator: of the
// share r of it that has been through before, and the rest from outside. With
// x its excess and D that of the core, x = r·(x + ε·(D − x)).
func front(r, effectiveness, core, ambient float64) float64 {
	if r == 0 {
		return ambient
	}
	return ambient + r*effectiveness*(core-ambient)/(1-r+r*effectiveness)
}

// flows returns the heat flows in state s. Every flow leaves one store and
// enters another or the outside, so that energy is conserved by construction.
func (c *Car) flows(s State, o Outside) Flows {
	var f Flows
	f.IntoCoolant = c.CoolantShare * o.fuel
	f.IntoMetal = c.ExhaustShare * o.fuel
	g := 0.0
	air := c.BayVent // natural draught with the engine off
	stream := math.Abs(o.Speed + o.Wind)
	if o.running {
		g = c.LeakConductance + s.Lift*c.OpenConductance
		air = c.FanAirCapacity + c.RamAirCapacity*math.Max(0, o.Speed+o.Wind)
	}
	f.EngineToTank = g * s.Engine // relative to 0 K; the loop closes
	f.TankToCore = g * s.TopTank
	f.CoreToEng = g * s.Core
	effectiveness := 1 - math.Exp(-c.CoreUA*math.Sqrt(air)/air)
	r := c.Recirculation
	if r > 0 {
		r *= math.Exp(-stream / recirculationSpeed)
	}
	f.Front = front(r, effectiveness, s.Core, o.Ambient)
	f.CoreToAir = effectiveness * air * (s.Core - f.Front)
	f.RadiatorAir = f.Front + effectiveness*(s.Core-f.Front)
	f.HeadToEngine = f.IntoCoolant
	if c.HeadCapacity > 0 {
		f.HeadToEngine = c.HeadToCoolant * (s.Head - s.Engine)
	}
	f.BlockToBay = c.BlockToBay * (s.Engine - s.Bay)
	f.MetalToBay = c.MetalToBay * (s.Metal - s.Bay)
	f.TankToBay = c.TopTankToBay * (s.TopTank - s.Bay)
	f.RadiatorAirToBay = c.RadiatorToBay * air * (f.RadiatorAir - s.Bay)
	f.VentToBay = (c.BayVent + c.BayVentPerSpeed*stream) * (1 + 0.3*o.Wet) * (o.Ambient - s.Bay)
	f.Sun = o.Sun
	return f
}

// bayWithoutRadiator advances the air of a bay whose radiator and tank are as
// cold as the outside air, everything else as in s.
func (c *Car) bayWithoutRadiator(bay float64, s State, o Outside, dt float64) float64 {
	cold := s
	cold.TopTank, cold.Core, cold.Bay = o.Ambient, o.Ambient, bay
	return bay + dt*c.rates(c.flows(cold, o)).Bay
}

// rates returns the temperature rates in K/s that the flows cause.
func (c *Car) rates(f Flows) State {
	var head float64
	if c.HeadCapacity > 0 {
		head = (f.IntoCoolant - f.HeadToEngine) / c.HeadCapacity
	}
	return State{
		Head:    head,
		Engine:  (f.HeadToEngine - f.EngineToTank + f.CoreToEng - f.BlockToBay) / c.EngineCapacity,
		TopTank: (f.EngineToTank - f.TankToCore - f.TankToBay) / c.TopTankCapacity,
		Core:    (f.TankToCore - f.CoreToEng - f.CoreToAir) / c.CoreCapacity,
		Bay:     (f.BlockToBay + f.MetalToBay + f.TankToBay + f.RadiatorAirToBay + f.VentToBay + f.Sun) / c.BayCapacity,
		Metal:   (f.IntoMetal - f.MetalToBay) / c.MetalCapacity,
	}
}

// Step advances the state by dt seconds (Heun's method for the temperatures)
// and returns the mean flows of the step, which account for the change of
// stored heat exactly.
func (c *Car) Step(s State, o Outside, dt float64) (State, Flows) {
	f1 := c.flows(s, o)
	mid := c.advance(s, c.rates(f1), dt)
	f := meanFlows(f1, c.flows(mid, o))
	next := c.advance(s, c.rates(f), dt)
	if c.Boiling > 0 && next.Engine > c.Boiling {
		f.Boiled = c.EngineCapacity * (next.Engine - c.Boiling) / dt
		next.Engine = c.Boiling
	}
	next.Wax = s.Wax + (next.Engine-s.Wax)*(-math.Expm1(-dt/c.Thermostat.Lag))
	next.Lift = c.Thermostat.lift(s.Lift, next.Wax)
	return next, f
}

func (c *Car) advance(s, r State, dt float64) State {
	s.Engine += r.Engine * dt
	s.TopTank += r.TopTank * dt
	s.Core += r.Core * dt
	s.Bay += r.Bay * dt
	s.Metal += r.Metal * dt
	s.Head += r.Head * dt
	return s
}

// lift returns the new lift: opening follows one line, closing another that
// lies Hysteresis lower (a play operator).
func (t Thermostat) lift(old, wax float64) float64 {
	if t.StuckOpen > 0 {
		return t.StuckOpen
	}
	up := (wax - t.Start) / t.Span
	down := (wax - t.Start + t.Hysteresis) / t.Span
	return math.Max(0, math.Min(1, math.Min(math.Max(old, up), down)))
}

func meanFlows(a, b Flows) Flows {
	return Flows{
		(a.IntoCoolant + b.IntoCoolant) / 2, (a.IntoMetal + b.IntoMetal) / 2,
		(a.EngineToTank + b.EngineToTank) / 2, (a.TankToCore + b.TankToCore) / 2, (a.CoreToEng + b.CoreToEng) / 2,
		(a.CoreToAir + b.CoreToAir) / 2,
		(a.BlockToBay + b.BlockToBay) / 2, (a.MetalToBay + b.MetalToBay) / 2, (a.TankToBay + b.TankToBay) / 2,
		(a.RadiatorAirToBay + b.RadiatorAirToBay) / 2, (a.VentToBay + b.VentToBay) / 2,
		(a.Sun + b.Sun) / 2, 0,
		(a.RadiatorAir + b.RadiatorAir) / 2,
		(a.HeadToEngine + b.HeadToEngine) / 2, (a.Front + b.Front) / 2,
	}
}

// StoredHeat returns the heat in all stores above 0 K, in joules.
func (c *Car) StoredHeat(s State) float64 {
	return c.EngineCapacity*s.Engine + c.TopTankCapacity*s.TopTank + c.CoreCapacity*s.Core +
		c.BayCapacity*s.Bay + c.MetalCapacity*s.Metal + c.HeadCapacity*s.Head
}

// External returns the net heat flow into all stores from outside, in watts.
func (f Flows) External() float64 {
	return f.IntoCoolant + f.IntoMetal - f.CoreToAir + f.RadiatorAirToBay + f.VentToBay + f.Sun - f.Boiled
}

// intakeAir returns the temperature of the air that enters the engine.
func (in Intake) intakeAir(s State, o Outside) float64 {
	share := math.Max(in.BayShare/5, in.BayShare-in.BayShareFade*o.Speed)
	t := o.Ambient + share*(s.Bay-o.Ambient)
	if in.DuctUA > 0 && o.air > 0 {
		// Heat exchanger with one constant side: REFERENCES of the duct
		// package, T_out = T_bay − (T_bay − T_in)·exp(−NTU).
		t = s.Bay - (s.Bay-t)*math.Exp(-in.DuctUA/(o.air*airHeat))
	} else if in.DuctUA > 0 {
		t = s.Bay
	}
	return t
}
