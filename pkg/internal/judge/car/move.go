package car

import "math"

const standstill = 0.05

// move drives the car on by dt: aim, power, speed, and what the engine burns.
func (m *sim) move(run bool, dt float64) {
	c, air := m.Car, m.bay.intake
	pressure := m.Day.PressurePa * (1 - 1.19e-4*(m.Route.Height(m.s)-m.Route.HeightM[0])) // about 1.2 hPa in 10 m
	warm := min(max((m.loop.jacketOut-20)/60, 0), 1)
	if !run {
		m.v, m.breath, m.engineRPM, m.full = 0, breath{lambda: m.breath.lambda}, 0, false
		return
	}
	aim := m.trip.Aim(m.s, m.v, dt)
	if aim.Arrived {
		aim.SpeedMPS = 0
		if math.IsNaN(m.arrivedS) && m.v < 0.5 {
			m.arrivedS = m.t
		}
	}
	if len(m.Parks) > 0 && m.s > m.Parks[0].AtM-150 {
		aim.SpeedMPS = min(aim.SpeedMPS, math.Sqrt(2*1.5*max(m.Parks[0].AtM+5-m.s, 0.01)))
		aim.FullThrottle = false
	}
	if m.FullFromS > 0 && m.t >= m.FullFromS {
		aim.FullThrottle = true
	}
	effective := c.MassKg * 1.04 // and the wheels' inertia, common practice
	v := max(m.v, 0.3)
	head := max(m.v+m.Day.headwind(m.Route.Heading(m.s)), 0)
	grade := m.Route.Grade(m.s)
	drag := 0.5 * 1.2 * density(m.ambient, pressure) * c.DragAreaM2 * head * head * (1 - 0.15*m.wake)
	resist := drag + c.MassKg*gravityMPS2*(grade+c.RollingShare)
	want := m.trip.Accel(aim.SpeedMPS, m.v)
	power := (resist + effective*want) * v / c.DrivelineShare
	strong := aim.FullThrottle || power > 0.55*c.RatedPowerW
	rpm := c.rpm(m.v, strong)
	lambda := c.lambda(strong, air, pressure, warm)
	flow := m.breath.airKgS / 0.06
	loss := m.Intake.DuctLossPa * flow * flow
	most := c.fullPower(rpm, air, pressure, loss, lambda) * (0.7 + 0.3*warm)
	m.full = aim.FullThrottle
	if m.full || power > most {
		power = most
		want = min((most*c.DrivelineShare/v-resist)/effective, 3)
	}
	m.v = max(m.v+want*dt, 0)
	if m.v < standstill && aim.SpeedMPS <= standstill {
		m.v = 0
	}
	m.s += m.v * dt
	m.engineRPM = rpm
	m.breath = c.burn(power, most, rpm, lambda, warm)
}

// heat moves circuit and bay on by dt.
func (m *sim) heat(run bool, dt float64) {
	c, l, f, s := m.Car, &m.loop, &m.flows, &m.around
	airMPS := max(m.v+m.Day.headwind(m.Route.Heading(m.s)), 0) * (1 - 0.3*m.wake)
	gust := 0.15 * m.Day.WindMPS // wind finds its way in even when standing
	airMPS = math.Max(airMPS, gust)
	fan := 0.0
	switch {
	case c.Cooling == Air:
		fan = c.FanKgS * m.engineRPM / 3000
	case !c.FanElectric:
		fan = c.FanKgS * min(m.engineRPM/3000, 1.3)
	case l.fanOn:
		fan = c.FanKgS
	}
	if l.jacketOut > c.FanOnC {
		l.fanOn = true
	} else if l.jacketOut < c.FanOnC-6 {
		l.fanOn = false
	}
	ram := c.RamKgPerM * airMPS
	rad := math.Sqrt(ram*ram+fan*fan) + 0.01
	recirc := min(c.RecirculationShare*m.Day.RecirculateFactor, 0.75) / (1 + airMPS*airMPS/9)
	h := skin(airMPS, m.wet())
	outside := m.ambient + m.wake*m.Day.WakeK

	*f = flows{
		pumpKgS: c.PumpKgSPerRPM * m.engineRPM, radAirKgS: rad, running: run,
		headW: c.coolantHeat(m.breath.fuelHeatW), oilW: c.OilShare * m.breath.fuelHeatW,
		radAirInC: outside + recirc*max(m.bay.front-outside, 0), bayC: 0.5 * (m.bay.front + m.bay.rear),
		outC: outside, skinWK: c.BlockSkinWK * h, waterFilm: 0.4,
	}
	if run {
		f.waterFilm = 0.3 + 0.7*min(m.engineRPM/3000, 1.5)
		f.heaterWK = c.HeaterWK * min(max((17-m.ambient)/12, 0), 1) // wanted below 17 °C, in full at 5
	}
	if c.Cooling == Air {
		f.finWK = 14 + 30*m.engineRPM/1000 + 1.2*airMPS
		if c.FanKgS == 0 { // fins in the wind
			f.finWK = 12 + 4.5*airMPS
		}
	}
	l.advance(c, f, dt)

	lawFactor, shift := c.law(m.ambient, m.meanMPS)
	addK, factor := m.Day.scatter(m.meanMPS, m.full, m.stoodS)
	warm := min(max((l.jacketOut-m.ambient)/60, 0), 1)
	*s = surroundings{
		skin:     h,
		ambientC: outside, speedMPS: m.v, airMPS: airMPS, radAirKgS: rad, ventFactor: m.Day.VentFactor,
		recirculate: recirc, sunWPerM2: m.Day.SunWPerM2, wet: m.wet(),
		blockC: l.block, headC: l.jacketOut, tankC: l.upper, fuelHeatW: m.breath.fuelHeatW,
		radiatorW: f.radiatorW + 0.3*f.finW, tankW: f.tankW, engineKgS: m.breath.airKgS, warm: warm,
		without: m.Without, scatterK: addK * warm, scatterFactor: factor,
		lawFactor: lawFactor, lawShiftK: shift * warm, running: run,
	}
	m.bay.advance(c, &m.Intake, s, dt)
	o := m.out
	o.FuelHeatJ += (f.headW + f.oilW) * dt
	o.ToRadiatorJ += f.radiatorW * dt
	o.ToBayJ += (f.blockHW + f.tankW) * dt
	o.ToFinsJ += f.finW * dt
}

func (m *sim) wet() float64 {
	if m.Day.Rain {
		return 1
	}
	return 0
}
