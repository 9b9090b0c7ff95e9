package car

import "math"

const (
	nominalC   = 15.0 // ambient at which the flat laws take their sources
	stefan     = 5.670374419e-8
	bayAirJK   = 600.0 // about 0.25 m³ of air at each end, with cables and hoses
	boxBayWK   = 3.0   // box to bay air, standing
	bonnetInWK = 9.0
)

// bay is the engine bay's state: air at the front and rear (°C), bonnet,
// manifold, air box, and what the intake gives the engine.
type bay struct {
	front, rear, bonnet, manifold, box float64
	intake, throat, grille             float64
	radAirRise                         float64
}

// surroundings are one moment's inputs of the bay.
type surroundings struct {
	skin                                                           float64 // exchange against still air
	ambientC, speedMPS, airMPS, radAirKgS, ventFactor, recirculate float64
	sunWPerM2, wet                                                 float64
	blockC, headC, tankC, fuelHeatW                                float64
	radiatorW, tankW                                               float64
	engineKgS, scatterK, scatterFactor, warm                       float64
	lawFactor, lawShiftK                                           float64
	running                                                        bool
	without                                                        Source
}

// keep is 0 for the source left out, else 1.
func (s *surroundings) keep(of Source) float64 {
	if s.without == of {
		return 0
	}
	return 1
}

// law returns by how much a law of ambient scales the bay's sources, and by
// how much it shifts the bodies that heat it.
func (c *Car) law(ambientC, meanMPS float64) (factor, shiftK float64) {
	switch c.Law {
	case Proportional:
		return (85 - ambientC) / (85 - nominalC), nominalC - ambientC
	case Flat:
		return 1, nominalC - ambientC
	case Measured:
		kmh := meanMPS * 3.6
		s := c.LawSlopePerK[0]
		if kmh > 50 {
			f := min((kmh-50)/20, 1)
			s += f * (c.LawSlopePerK[1] - s)
		}
		if kmh > 85 {
			f := min((kmh-85)/20, 1)
			s += f * (c.LawSlopePerK[2] - s)
		}
		return max(1+s*(ambientC-nominalC), 0.3), nominalC - ambientC
	}
	return 1, 0
}

// skin is how much a surface's exchange grows with air speed (turbulent plate,
// exponent 0.8, from 5 m/s on) and with rain.
func skin(airMPS, wet float64) float64 {
	return math.Pow(1+airMPS*0.35/5, 0.8) * (1 + 0.35*wet)
}

// advance moves the bay on by dt seconds.
func (b *bay) advance(c *Car, in *Intake, s *surroundings, dt float64) {
	h := s.skin
	// Sources, as the car's law of ambient has them.
	shift, g := s.lawShiftK, s.lawFactor
	blockW := func(share, airC float64) float64 {
		return s.keep(BlockSkin) * g * share * c.BlockSkinWK * h * (s.blockC - shift - airC)
	}
	manifoldW := func(share, airC float64) float64 {
		return s.keep(Manifold) * g * share * c.ManifoldSkinWK * h * (b.manifold - shift - airC)
	}
	rise := func(c float64) float64 { k := c + kelvin; return k * k * k * k }
	radiantW := c.RadiantM2 * stefan * (rise(b.manifold) - rise(b.bonnet))

	manifoldIn := c.ManifoldShare * s.fuelHeatW
	skinW := c.ManifoldSkinWK * h * (b.manifold - b.rear)
	b.manifold += (manifoldIn - skinW - radiantW) * dt / c.ManifoldJK
	radiantW *= s.keep(Manifold)

	// Air: past the radiator and besides, with what recirculates when standing.
	passKgS := c.ThroughRadiatorShare * s.radAirKgS
	besideKgS := c.BayKgPerM*s.airMPS + c.DraughtKgS
	flowKgS := (passKgS + besideKgS) * s.ventFactor
	b.radAirRise = 0
	if s.radAirKgS > 1e-3 {
		b.radAirRise = s.keep(RadiatorAir) * g * s.radiatorW / (s.radAirKgS*airJKgK + 15)
	}
	back := s.recirculate * max(b.front-s.ambientC, 0)
	enterC := s.ambientC + back + passKgS*b.radAirRise/(passKgS+besideKgS)

	relax := func(airC *float64, flowWK, fromC, sourceW, bodyWK, bodyC float64) {
		all := flowWK + bodyWK
		level := (flowWK*fromC + bodyWK*bodyC + sourceW) / all
		*airC += (level - *airC) * (1 - math.Exp(-all*dt/bayAirJK))
	}
	bonnetWK := 0.5 * bonnetInWK * h
	stirWK := 6.0 // buoyancy between front and rear
	relax(&b.front, flowKgS*airJKgK+stirWK, (flowKgS*airJKgK*enterC+stirWK*b.rear)/(flowKgS*airJKgK+stirWK),
		blockW(0.35, b.front)+manifoldW(0.2, b.front)+0.4*s.keep(RadiatorAir)*g*s.tankW, bonnetWK, b.bonnet)
	relax(&b.rear, flowKgS*airJKgK+stirWK, b.front,
		blockW(0.65, b.rear)+manifoldW(0.8, b.rear), bonnetWK, b.bonnet)

	const bonnetM2 = 1.3
	outWK := bonnetM2 * (8 + 5*math.Pow(s.speedMPS, 0.8)) * (1 + 0.5*s.wet) // McAdams' form, from memory
	bonnetW := bonnetWK*(b.front+b.rear-2*b.bonnet) + g*(1-c.BoxView)*0.6*radiantW + 0.6*bonnetM2*s.keep(Sun)*s.sunWPerM2 - outWK*(b.bonnet-s.ambientC)
	b.bonnet += bonnetW * dt / c.BonnetJK

	b.breathe(c, in, s, h, g*c.BoxView*radiantW, dt)
	// Some radiator air is drawn forward when standing; the road warms the nose.
	noseK := 0.35*back + 1.2e-3*s.sunWPerM2/(1+s.speedMPS)
	b.grille += (s.ambientC + noseK - b.grille) * (1 - math.Exp(-dt/4))
}

// breathe works out the air that the engine draws: mixing, pick-up, throat.
func (b *bay) breathe(c *Car, in *Intake, s *surroundings, h, boxRadiantW, dt float64) {
	kgs := max(s.engineKgS, 0.0005)
	standing := 1 / (1 + s.airMPS*s.airMPS/6.25)
	fresh := max(1-in.RadiatorShare-in.FrontShare-in.RearShare, 0)
	bayC := 0.5 * (b.front + b.rear)
	mixC := s.ambientC +
		in.RadiatorShare*(b.radAirRise+s.recirculate*max(b.front-s.ambientC, 0)) +
		in.FrontShare*(b.front-s.ambientC) + in.RearShare*(b.rear-s.ambientC) +
		fresh*standing*in.StandingShare*(bayC-s.ambientC)
	const atKgS = 0.02
	ntu := in.PickupNTU * math.Pow(kgs/atKgS, in.PickupExponent)
	taken := 1 - math.Exp(-ntu)
	pickK := (b.box-mixC)*taken + s.lawFactor*in.FixedHeatW*s.warm/(kgs*airJKgK)*(1-math.Exp(-kgs/0.002))
	pickK *= s.keep(Pickup)
	airC := max(s.ambientC+(mixC+pickK-s.ambientC)*s.scatterFactor+s.scatterK+in.OffsetK*s.warm, s.ambientC)
	airC = min(airC, s.ambientC+0.8*max(max(s.headC, b.rear)-s.ambientC, 1)) // whatever the day, not hotter than what heats it
	lag := 1.5
	if !s.running { // nobody draws: the box soaks
		airC, lag = 0.6*b.box+0.4*bayC, 40
	}
	b.intake += (airC - b.intake) * (1 - math.Exp(-dt/lag))
	throatC := b.intake + (s.headC-25-b.intake)*(1-math.Exp(-in.CarburettorNTU*math.Pow(kgs/atKgS, -0.5)))
	if !s.running {
		throatC = 0.5*b.intake + 0.5*(0.7*s.headC+0.3*bayC)
	}
	b.throat += (max(throatC, s.ambientC) - b.throat) * (1 - math.Exp(-dt/max(lag/2, 1)))
	boxW := boxBayWK*h*(bayC-b.box) + boxRadiantW
	if s.running {
		boxW += in.BoxWK * (mixC - b.box)
	}
	b.box += boxW * dt / c.BoxJK
}
