package car

import "math"

const (
	waterJKgK = 3600.0 // half glycol at 80 °C, from memory
	airJKgK   = 1006.0
)

// loop is the cooling circuit's state, °C.
type loop struct {
	head, jacketIn, jacketOut, block, wax float64
	hose, upper, core, lower              float64
	lift                                  float64
	plays                                 [3]float64
	fanOn                                 bool
	// shadow is the upper tank as it would be had the valve stayed shut.
	shadowHose, shadow float64
	boiledJ, heaterJ   float64
}

// lifted is the valve's lift after the wax reached a temperature: the mean of
// three plays, each between an opening and its own closing curve (a
// Prandtl–Ishlinskii operator), so that small swings meet a narrow loop and
// the valve is shut only below start minus hysteresis (the workshop bound).
func (l *loop) lifted(c *Car) float64 {
	sum := 0.0
	for i, share := range [3]float64{0.15, 0.5, 1} {
		up := (l.wax - c.StartC()) / c.SpanK
		down := up + share*c.HysteresisK/c.SpanK
		l.plays[i] = min(max(min(max(l.plays[i], up), down), 0), 1)
		sum += l.plays[i]
	}
	return max(sum/3, c.StuckLift)
}

// split shares the pump's flow between radiator, by-pass and slip.
func (c *Car) split(pumpKgS, lift float64) (mainKgS, leakKgS, bypassKgS float64) {
	open, bypass, slip := math.Pow(lift, c.FlowExponent), 0.0, 0.0
	switch c.Bypass {
	case ClosingBypass:
		bypass = c.BypassShare*(1-lift) + 0.02
	case FixedBypass:
		bypass = c.BypassShare
	case NoBypass:
		bypass, slip = 0.03, 0.25
	}
	all := open + c.Leak + bypass + slip
	return pumpKgS * open / all, pumpKgS * c.Leak / all, pumpKgS * bypass / all
}

// effectiveness of a cross-flow radiator whose coolant is mixed (Kays &
// London: C_max mixed and C_min mixed; check values in the tests).
func effectiveness(ntu, ratio float64, hotIsMin bool) float64 {
	if ratio < 1e-6 {
		return 1 - math.Exp(-ntu)
	}
	if hotIsMin {
		return 1 - math.Exp(-(1-math.Exp(-ntu*ratio))/ratio)
	}
	return (1 - math.Exp(-ratio*(1-math.Exp(-ntu)))) / ratio
}

// reject is the heat a radiator gives to air, W, and the water's temperature
// behind it.
func (c *Car) reject(waterKgS, airKgS, waterC, airC float64) (heatW, outC float64) {
	if waterKgS < 1e-5 || airKgS < 1e-4 {
		return 0, waterC
	}
	air, water := airKgS*airJKgK, waterKgS*waterJKgK
	// Air side to the power 0.6, a fifth of the resistance in the water at 1 kg/s.
	ua := 1 / (0.8/(c.RadiatorWK*math.Pow(airKgS, 0.6)) + 0.2/(c.RadiatorWK*math.Pow(waterKgS, 0.8)))
	least, most := min(air, water), max(air, water)
	heatW = effectiveness(ua/least, least/most, water < air) * least * (waterC - airC)
	return heatW, waterC - heatW/water
}

// flows are one moment's inputs of the circuit.
type flows struct {
	pumpKgS, radAirKgS       float64
	headW, oilW              float64
	radAirInC, bayC, outC    float64
	skinWK, waterFilm        float64
	running                  bool
	heaterWK                 float64
	finWK                    float64 // air-cooled only
	radiatorW, finW, blockHW float64 // results: heat to air
	tankW                    float64
}

// advance moves the circuit on by dt seconds and fills in the heat given off.
func (l *loop) advance(c *Car, f *flows, dt float64) {
	mean := 0.4*l.jacketIn + 0.6*l.jacketOut
	headW := c.HeadWK * f.waterFilm * (l.head - mean)
	f.finW = f.finWK * (l.head - f.outC)
	l.head += (f.headW - headW - f.finW) * dt / c.HeadJK
	blockW := c.BlockWK * (l.jacketIn - l.block)
	f.blockHW = f.skinWK * (l.block - f.bayC)
	l.block += (f.oilW + blockW - f.blockHW) * dt / c.BlockJK
	heaterW := max(f.heaterWK*(l.jacketOut-22), 0)
	l.heaterJ += heaterW * dt

	var main, leak, bypass float64
	if c.Cooling == Liquid && f.running {
		main, leak, bypass = c.split(f.pumpKgS, l.lift)
	}
	radiator := main + leak
	through := radiator + bypass + 0.02 // what else stirs: convection, the pump's slip
	if c.Bypass == NoBypass && f.running {
		through += 0.1 * f.pumpKgS
	}
	back := (radiator*l.lower + (through-radiator)*l.jacketOut) / through
	inJK, outJK := 0.45*c.JacketJK, 0.55*c.JacketJK
	in, out := l.jacketIn, l.jacketOut
	outShare := 0.6
	if !f.running { // hot water rises
		outShare = 0.9
	}
	l.jacketIn += (through*waterJKgK*(back-in) + (1-outShare)*headW - blockW) * dt / inJK
	l.jacketOut += (through*waterJKgK*(in-out) + outShare*headW - heaterW) * dt / outJK
	if c.Cooling == Liquid && l.jacketOut > c.BoilC {
		l.boiledJ += (l.jacketOut - c.BoilC) * outJK
		l.jacketOut = c.BoilC
	}
	l.radiate(c, f, radiator, leak, out, dt)

	seen := out
	if c.AtInlet {
		seen = back
	}
	l.wax += (seen - l.wax) * dt / c.WaxS
	l.lift = l.lifted(c)
}

// radiate moves hose, tanks and core, with the shadow that has the leak only.
func (l *loop) radiate(c *Car, f *flows, radiator, leak, fromC, dt float64) {
	const housingWK, tankWK = 2.5, 3.0
	l.jacketOut -= housingWK * (fromC - l.hose) * dt / (0.55 * c.JacketJK)
	f.tankW = tankWK * (l.upper - f.bayC)
	move := func(hose, upper, flow float64) (float64, float64) {
		// Flow empties a part exactly, so that small tanks stay stable.
		h := hose + (fromC-hose)*(1-math.Exp(-flow*dt/c.HoseKg))
		h += housingWK * (fromC - h) * dt / (c.HoseKg * waterJKgK)
		u := upper + (hose-upper)*(1-math.Exp(-flow*dt/c.UpperKg))
		return h, u - tankWK*(u-f.bayC)*dt/(c.UpperKg*waterJKgK)
	}
	l.shadowHose, l.shadow = move(l.shadowHose, l.shadow, leak)
	l.hose, l.upper = move(l.hose, l.upper, radiator)
	heatW, outC := c.reject(radiator, f.radAirKgS, l.upper, f.radAirInC)
	const stillWK = 25.0 // core to its air without flow of water
	stillW := stillWK * (l.core - f.radAirInC) * math.Exp(-radiator/0.02)
	f.radiatorW = heatW + stillW
	core := l.core
	l.core += (outC-core)*(1-math.Exp(-radiator*dt/c.CoreKg)) - stillW*dt/(c.CoreKg*waterJKgK)
	l.lower += (core - l.lower) * (1 - math.Exp(-radiator*dt/c.LowerKg))
}
