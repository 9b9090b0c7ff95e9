package engine

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/fuel"
)

// chargeAir is what metering needs of the air, in SI units.
type chargeAir struct{ kelvin, density, dry float64 }

func charge(s air.State) chargeAir {
	return chargeOf(float64(s.Pressure), s.Temperature.Kelvin(), float64(s.VapourPressure))
}

// chargeOf is the ideal mixture's, without a check.
func chargeOf(p, kelvin, e float64) chargeAir {
	const dryAir, vapour = 287.05287, 461.5 // J/(kg·K)
	dry := (p - e) / (dryAir * kelvin)
	return chargeAir{kelvin, dry + e/(vapour*kelvin), dry}
}

// unknowns are what is not known of a shift, each a share of 0 to 1.
type unknowns struct {
	bowl      float64 // how far the bowl follows the intake air
	expansion float64 // of the fuel, within its span
	bleed     float64 // how much the air-correction jet does
	signal    float64 // depression over the jet, within its span
	vent      float64 // how far the bowl is vented to the outside
	holds     float64 // how far an injection does not hold the ratio
}

// shifting is a shift of the mixture before the unknowns are chosen.
type shifting struct {
	g    Metering
	a, b chargeAir
}

func (g Metering) shift(a, b chargeAir) shifting { return shifting{g, a, b} }

// air is the shift by the air alone.
func (s shifting) air() float64 {
	return s.b.dry / s.a.dry / math.Sqrt(s.b.density/s.a.density)
}

// bleeds reports whether an air-correction jet may be at work.
func (s shifting) bleeds() bool {
	return !s.g.NoAirCorrection && (s.g.Kind == FixedJet || s.g.Kind == UnknownCarburettor)
}

func (s shifting) correction(u unknowns) float64 {
	if !s.bleeds() {
		return 1
	}
	return math.Pow(s.b.density/s.a.density, -emulsion*u.bleed)
}

// bowlKnown reports whether both temperatures of the bowl are given.
func (s shifting) bowlKnown() bool { return s.g.BowlBefore.IsValid() && s.g.BowlAfter.IsValid() }

// bowl is what the fuel's density does.
func (s shifting) bowl(u unknowns) float64 {
	colder := u.bowl * (s.a.kelvin - s.b.kelvin)
	if s.bowlKnown() {
		colder = s.g.BowlBefore.Sub(s.g.BowlAfter).Kelvins()
	}
	return 1 / math.Sqrt(1+(fuel.Expansion+u.expansion*(fuel.ExpansionHigh-fuel.Expansion))*colder)
}

// vent is what the duct's depression does as a fuel signal.
func (s shifting) vent(u unknowns) float64 {
	outside := u.vent
	switch s.g.Vent {
	case VentToMouth:
		outside = 0
	case VentToOutside:
		outside = 1
	}
	signal := leastSignal * math.Pow(mostSignal/leastSignal, u.signal)
	return math.Sqrt((signal + outside*float64(s.g.LossBefore)) / (signal + outside*float64(s.g.LossAfter)))
}

// at returns the shift for one choice of the unknowns.
func (s shifting) at(u unknowns) float64 {
	if s.g.Kind == Injection {
		return 1 + u.holds*(s.air()-1)
	}
	return s.air() * s.correction(u) * s.bowl(u) * s.vent(u) * s.g.FuelAfter.LeanerThan(s.g.FuelBefore)
}

// middle is the shift by the plain law: the bowl stays, nothing bleeds, and a
// vent that is not known is to the mouth.
func (s shifting) middle() float64 { return s.at(unknowns{signal: 0.5, expansion: 0.5}) }

// span returns the bounds of f over every extreme choice of the unknowns; each
// part is monotonous in each of them.
func span(f func(unknowns) float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for i := range 1 << 6 {
		bit := func(k int) float64 { return float64(i >> k & 1) }
		x := f(unknowns{bit(0), bit(1), bit(2), bit(3), bit(4), bit(5)})
		low, high = min(low, x), max(high, x)
	}
	return low, high
}

// parts lists what takes part, each between its bounds.
func (s shifting) parts() []MixturePart {
	all := []MixturePart{{"the air's density and vapour", s.air(), s.air()}}
	unknown := func(name string, f func(unknowns) float64) {
		low, high := span(f)
		all = append(all, MixturePart{name, low, high})
	}
	if s.g.Kind == Injection {
		return append(all, MixturePart{"held by the injection", min(1, 1/s.air()), max(1, 1/s.air())})
	}
	if s.bleeds() {
		unknown("air-correction jet", s.correction)
	}
	unknown("fuel's density by the bowl's temperature", s.bowl)
	if s.g.LossBefore != s.g.LossAfter {
		unknown("duct's depression on the float bowl", s.vent)
	}
	if s.g.FuelBefore != s.g.FuelAfter {
		f := s.g.FuelAfter.LeanerThan(s.g.FuelBefore)
		all = append(all, MixturePart{"ethanol in the fuel", f, f})
	}
	return all
}
