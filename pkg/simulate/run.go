package simulate

import "math"

// Conditions are the day's weather and the car's state at the start.
type Conditions struct {
	Ambient float64 // K at the start
	Drift   float64 // K/h, the day warms up
	Initial State   // zero: cold at ambient
	Day     Day     // zero: still and dull
}

// History is a run sampled once per second: the truth that probes then see.
// All temperatures in kelvin, all slices of equal length. With the engine off
// nothing is drawn: IntakeWithoutRadiator is NaN there.
type History struct {
	Step                                                      float64
	Ambient, Intake, Bay, TopTank, BottomTank, Coolant, Metal []float64
	RadiatorAir, Speed, Grade, Lift, FuelPower, AirFlow       []float64
	Distance                                                  []float64
	// Front is the air in front of the radiator, as a grille probe sees it;
	// WheelPower what the engine gives to the wheels, W.
	Front, WheelPower []float64
	Running           []bool
	// IntakeWithoutRadiator is the air drawn had the bay the same block,
	// exhaust and weather, but a radiator and tank as cold as the outside air.
	IntakeWithoutRadiator []float64
	// Opening is the first time in seconds at which the thermostat lifts, NaN
	// if it never does or was open at the start.
	Opening float64
	// EnergyError is the heat that the balance cannot account for, as a share
	// of all heat that passed: rounding only.
	EnergyError float64
}

// substep is the longest step of the thermal model in seconds.
const substep = 0.25

// Run drives the car along the trace and returns the truth each second.
func Run(c Car, in Intake, tr Trace, w Conditions) *History {
	s := w.Initial
	if s.Engine == 0 {
		s = Cold(w.Ambient)
	}
	if s.Head == 0 {
		s.Head = s.Engine
	}
	h := &History{Step: 1, Opening: math.NaN()}
	n := int(math.Ceil(tr.Step / substep))
	dt := tr.Step / float64(n)
	sampleEvery := max(1, int(math.Round(1/tr.Step)))
	openAtStart := s.Lift > 0
	var distance, passed, balance float64
	stored := c.StoredHeat(s)
	prev := 0.0
	day := w.Day.begin()
	cool := s.Bay // the bay with a cold radiator
	intake := w.Ambient
	for i, v := range tr.Speed {
		t := float64(i) * tr.Step
		o := Outside{Ambient: w.Ambient + w.Drift*t/3600, Speed: v, Wind: day.step(v, tr.Step) - w.Day.Wake*v, Sun: w.Day.Sun, Wet: w.Day.Wet, running: tr.Running == nil || tr.Running[i]}
		grade := 0.0
		if tr.Grade != nil {
			grade = tr.Grade[i]
		}
		o.load = c.load(v, o.Wind, (v-prev)/tr.Step, grade, intake, o.running)
		prev = v
		var f Flows
		for range n {
			was := s.Lift
			cool = c.bayWithoutRadiator(cool, s, o, dt)
			s, f = c.Step(s, o, dt)
			balance += f.External() * dt
			passed += (f.IntoCoolant + f.IntoMetal) * dt
			if was == 0 && s.Lift > 0 && math.IsNaN(h.Opening) && !openAtStart {
				h.Opening = t
			}
			t += dt
		}
		distance += v * tr.Step
		if i%sampleEvery == 0 {
			h.sample(s, o, f, in, distance, grade)
			k := len(h.Intake) - 1
			law := c.Law.factor(s.Engine, o.Ambient)
			if law != 1 {
				h.Intake[k] = o.Ambient + law*(h.Intake[k]-o.Ambient)
			}
			if o.running {
				full := o.wheel > 0.9*c.MaxPower
				without := s
				without.Bay = cool
				h.IntakeWithoutRadiator[k] = o.Ambient + day.scattered(law*(in.intakeAir(without, o)-o.Ambient), s.Engine-o.Ambient, full)
				h.Intake[k] = o.Ambient + day.scattered(h.Intake[k]-o.Ambient, s.Engine-o.Ambient, full)
			}
			intake = h.Intake[k]
		}
	}
	if passed > 0 {
		h.EnergyError = (c.StoredHeat(s) - stored - balance) / passed
	}
	return h
}

func (h *History) sample(s State, o Outside, f Flows, in Intake, distance, grade float64) {
	h.Ambient = append(h.Ambient, o.Ambient)
	h.Intake = append(h.Intake, in.intakeAir(s, o))
	h.IntakeWithoutRadiator = append(h.IntakeWithoutRadiator, math.NaN())
	h.Bay = append(h.Bay, s.Bay)
	h.TopTank = append(h.TopTank, s.TopTank)
	h.BottomTank = append(h.BottomTank, s.Core)
	h.Coolant = append(h.Coolant, s.Engine)
	h.Metal = append(h.Metal, s.Metal)
	h.RadiatorAir = append(h.RadiatorAir, f.RadiatorAir)
	h.Speed = append(h.Speed, o.Speed)
	h.Grade = append(h.Grade, grade)
	h.Lift = append(h.Lift, s.Lift)
	h.FuelPower = append(h.FuelPower, o.fuel)
	h.AirFlow = append(h.AirFlow, o.air)
	h.Distance = append(h.Distance, distance)
	h.Running = append(h.Running, o.running)
	h.Front = append(h.Front, f.Front)
	h.WheelPower = append(h.WheelPower, o.wheel)
}

// Len returns the number of seconds.
func (h *History) Len() int { return len(h.Speed) }
