package car

// Variant is a kind of car that differs in physics, by narrower or other
// ranges than the table's.
type Variant struct {
	Name   string
	Why    string
	Ranges map[string][2]float64
	fix    func(*Car)
}

// Variants lists the physical variants, equal in weight for every claim about
// coverage. Where a probe sits is decided by the instruments: the names that
// speak of probes only mark it (see instrument.Mounting).
func Variants() []Variant {
	type ranges = map[string][2]float64
	return []Variant{
		{Name: "plain", Why: "the table as it stands, by-pass that shuts as the valve opens",
			fix: func(c *Car) { c.Bypass = ClosingBypass }},
		{Name: "wide hysteresis", Why: "a valve that shuts late and lags: long swings of the coolant",
			Ranges: ranges{"valve hysteresis": {6, 7}, "wax lag": {15, 25}}},
		{Name: "fixed by-pass", Why: "part of the flow never sees the radiator",
			fix: func(c *Car) { c.Bypass = FixedBypass }},
		{Name: "no by-pass", Why: "the water hardly moves until the valve opens",
			fix: func(c *Car) { c.Bypass = NoBypass }},
		{Name: "valve at inlet", Why: "the wax sits where by-pass and radiator return meet",
			fix: func(c *Car) { c.AtInlet, c.Bypass = true, FixedBypass }},
		{Name: "fast tank", Why: "small tank and hose: the tank follows at once",
			Ranges: ranges{"upper tank": {0.15, 0.3}, "hose": {0.08, 0.15}}},
		{Name: "slow tank", Why: "large tank: the rise is drawn out",
			Ranges: ranges{"upper tank": {1.2, 2.2}, "hose": {0.3, 0.6}}},
		{Name: "leaking valve", Why: "the tank warms long before the valve opens",
			Ranges: ranges{"valve leak shut": {0.004, 0.015}}},
		{Name: "probe on metal", Why: "coolant and tank probes clamped outside"},
		{Name: "probe in stream", Why: "coolant and tank probes in the water"},
		{Name: "slow probe", Why: "thick sheathed probes, seconds to a minute of lag"},
	}
}

// Faults lists cars whose valve does not do its work; they are no part of the
// coverage by variant.
func Faults() []Variant {
	return []Variant{
		{Name: "stuck open", Why: "the valve never shuts below a lift of 0.15 to 1",
			Ranges: map[string][2]float64{"valve leak shut": {0.15, 1}},
			fix:    func(c *Car) { c.StuckLift, c.Leak = c.Leak, 0.01 }},
		{Name: "never reaching", Why: "a leak so wide, on a strong radiator, that the valve may never start",
			Ranges: map[string][2]float64{"valve leak shut": {0.05, 0.15}}},
		{Name: "air-cooled", Why: "no coolant, no valve, no radiator",
			fix: func(c *Car) { c.Cooling, c.FanElectric = Air, false }},
		{Name: "motorcycle", Why: "air-cooled, the engine in the open: little bay, quick air",
			Ranges: map[string][2]float64{
				"mass": {250, 330}, "drag area": {0.5, 0.7}, "displacement": {0.5e-3, 1e-3}, "rated power per litre": {50, 70},
				"rated speed": {7000, 8800}, "idle speed": {1000, 1250}, "top gear, at 1000 rpm": {14, 19},
				"block and sump": {12e3, 22e3}, "bay air besides": {0.05, 0.12}, "draught standing": {0.04, 0.09},
				"block skin": {4, 9}, "bay air through radiator": {0.05, 0.2}, "heater": {0, 0}},
			fix: func(c *Car) { c.Cooling, c.FanElectric, c.FanKgS = Air, false, 0 }},
		{Name: "injected", Why: "mixture held by injection",
			fix: func(c *Car) { c.Mixture = Injection }},
		{Name: "real scatter", Why: "an injected saloon with a small rise, as the unchanged car measured",
			Ranges: map[string][2]float64{
				"intake: air past the radiator": {0.02, 0.05}, "intake: air of the bay's front": {0.1, 0.2},
				"intake: air of the bay's rear": {0.05, 0.12}, "intake: fixed heat": {10, 30}, "intake: bay air when standing": {0.8, 0.95}},
			fix: func(c *Car) { c.Mixture, c.Law = Injection, Measured }},
	}
}

// Names lists the names of Variants and Faults.
func Names() []string {
	var names []string
	for _, v := range append(Variants(), Faults()...) {
		names = append(names, v.Name)
	}
	return names
}

func find(name string) (Variant, bool) {
	for _, v := range append(Variants(), Faults()...) {
		if v.Name == name {
			return v, true
		}
	}
	return Variant{}, false
}
