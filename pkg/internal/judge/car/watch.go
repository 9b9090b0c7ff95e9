package car

import "math"

// watch notes the moments that the truth is made of.
func (m *sim) watch() {
	l, o := &m.loop, m.out
	if m.engineRPM > 0 {
		m.warmest = max(m.warmest, l.jacketOut)
	}
	o.MaxCoolantC = max(o.MaxCoolantC, l.jacketOut)
	if m.Car.Cooling == Air || m.Car.StuckLift > 0 || o.Outcome == Already {
		return
	}
	first := func(at *float64, yes bool) {
		if yes && math.IsNaN(*at) {
			*at = m.t
		}
	}
	first(&o.FirstFlowS, l.lift > 0)
	// The tank's rise is counted against a tank whose valve stayed shut.
	risen := l.upper - l.shadow
	first(&o.TankRiseHalfS, risen > 0.5)
	first(&o.TankRiseS, risen > 1)
	first(&o.TankMidS, risen > 0.5*(l.jacketOut-l.shadow) && risen > 1)
	first(&o.FullLiftS, l.lift >= 0.999)
}

// record keeps one second.
func (m *sim) record() {
	o, l, b := m.out, &m.loop, &m.bay
	lat, lon := m.Route.Place(m.s)
	keep := func(col *[]float64, x float64) { *col = append(*col, x) }
	keep(&o.SpeedMPS, m.v)
	keep(&o.DistanceM, m.s)
	keep(&o.HeightM, m.Route.Height(m.s))
	keep(&o.LatDeg, lat)
	keep(&o.LonDeg, lon)
	keep(&o.RPM, m.engineRPM)
	o.FullThrottle, o.Running = append(o.FullThrottle, m.full), append(o.Running, m.engineRPM > 0)
	keep(&o.PowerW, m.breath.powerW)
	keep(&o.FullPowerW, m.breath.fullW)
	keep(&o.FuelKgS, m.breath.fuelKgS)
	keep(&o.AirKgS, m.breath.airKgS)
	keep(&o.Lambda, m.breath.lambda)
	keep(&o.AmbientC, m.ambient)
	keep(&o.CoolantC, l.jacketOut)
	keep(&o.JacketInC, l.jacketIn)
	keep(&o.HeadC, l.head)
	keep(&o.BlockC, l.block)
	keep(&o.UpperC, l.upper)
	keep(&o.LowerC, l.lower)
	keep(&o.FrontC, b.front)
	keep(&o.RearC, b.rear)
	keep(&o.BonnetC, b.bonnet)
	keep(&o.ManifoldC, b.manifold)
	keep(&o.BoxC, b.box)
	keep(&o.IntakeC, b.intake)
	keep(&o.ThroatC, b.throat)
	keep(&o.GrilleC, b.grille)
	keep(&o.AirMPS, m.around.airMPS)
	keep(&o.Lift, l.lift)
	keep(&o.PressurePa, m.Day.PressurePa*(1-1.19e-4*(m.Route.Height(m.s)-m.Route.HeightM[0])))
	keep(&o.SunWPerM2, m.Day.SunWPerM2)
}

// finish draws the drive's conclusions.
func (m *sim) finish() {
	o, l, c := m.out, &m.loop, m.Car
	o.BoiledJ, o.ToHeaterJ = l.boiledJ, l.heaterJ
	water := (c.HoseKg*(l.hose-m.startPart(0.9)) + c.UpperKg*(l.upper-m.startPart(0.75)) +
		c.CoreKg*(l.core-m.startPart(0.5)) + c.LowerKg*(l.lower-m.startPart(0.55))) * waterJKgK
	start := m.startPart(1)
	o.HeatStoreJ = c.HeadJK*(l.head-start) + c.BlockJK*(l.block-m.startPart(0.95)) +
		c.JacketJK*(0.45*(l.jacketIn-start)+0.55*(l.jacketOut-start)) + water
	if n := o.Len(); !math.IsNaN(m.offS) && int(m.offS) < n {
		at, most := o.CoolantC[int(m.offS)], 0.0
		for _, x := range o.CoolantC[int(m.offS):] {
			most = max(most, x-at)
		}
		o.SoakRiseK = most
	}
	switch {
	case c.Cooling == Air:
		o.Outcome = NoThermostat
	case c.StuckLift > 0:
		o.Outcome = StuckOpen
	case o.Outcome == Already:
	case math.IsNaN(o.FirstFlowS):
		o.Outcome = NotReached
	default:
		o.Outcome = Opened
	}
}

func (m *sim) startPart(share float64) float64 {
	hot := m.CoolantC
	if math.IsNaN(hot) {
		return m.Day.AmbientC
	}
	return m.Day.AmbientC + share*(hot-m.Day.AmbientC)
}
