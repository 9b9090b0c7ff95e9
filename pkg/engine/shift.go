package engine

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine/internal/metered"
	"github.com/bonnetbook/bonnetbook/pkg/fuel"
)

func charge(s air.State) metered.Air {
	return metered.Of(float64(s.Pressure), s.Temperature.Kelvin(), float64(s.VapourPressure))
}

// unknowns are what is not known of a shift, each a share of 0 to 1.
type unknowns struct {
	bowl      float64 // how far the bowl follows the intake air
	expansion float64 // of the fuel, within its span
	bleed     float64 // how much the air-correction jet does
	signal    float64 // depression over the jet, within its span
	vent      float64 // how far the bowl is vented to the outside
	holds     float64 // how far an injection does not hold the ratio
	was, is   float64 // ethanol before and after, each within what is known of it
}

// shifting is a shift of the mixture before the unknowns are chosen.
type shifting struct {
	g    Metering
	a, b metered.Air
}

// air is the shift by the air alone.
func (s shifting) air() float64 {
	return s.b.Dry / s.a.Dry / math.Sqrt(s.b.Density/s.a.Density)
}

// bleeds reports whether an air-correction jet may be at work.
func (s shifting) bleeds() bool {
	return !s.g.NoAirCorrection && (s.g.Kind == FixedJet || s.g.Kind == UnknownCarburettor)
}

func (s shifting) correction(u unknowns) float64 {
	if !s.bleeds() {
		return 1
	}
	return math.Pow(s.b.Density/s.a.Density, -emulsion*u.bleed)
}

// bowlKnown reports whether both temperatures of the bowl are given.
func (s shifting) bowlKnown() bool { return s.g.BowlBefore.IsValid() && s.g.BowlAfter.IsValid() }

// bowl is what the fuel's density does.
func (s shifting) bowl(u unknowns) float64 {
	colder := u.bowl * (s.a.Kelvin - s.b.Kelvin)
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

// ethanol is what another fuel does.
func (s shifting) ethanol(u unknowns) float64 {
	of := func(f fuel.Blend, u float64) fuel.Blend {
		return fuel.Blend{Ethanol: min(max(f.Ethanol+(2*u-1)*f.Unsure, 0), 1)}
	}
	return of(s.g.FuelAfter, u.is).LeanerThan(of(s.g.FuelBefore, u.was))
}

// onOneFuel returns the shift for one choice of the unknowns, but for the fuel's.
func (s shifting) onOneFuel(u unknowns) float64 {
	if s.g.Kind == Injection {
		return 1 + u.holds*(s.air()-1)
	}
	return s.air() * s.correction(u) * s.bowl(u) * s.vent(u)
}

// at returns the shift for one choice of the unknowns.
func (s shifting) at(u unknowns) float64 { return s.onOneFuel(u) * s.ethanol(u) }

// middle is the shift by the plain law: the bowl stays, nothing bleeds, and a
// vent that is not known is to the mouth.
func (s shifting) middle() float64 {
	return s.at(unknowns{signal: 0.5, expansion: 0.5, was: 0.5, is: 0.5})
}

// span returns the bounds of f over every extreme choice of the unknowns; each
// part is monotonous in each of them.
func span(f func(unknowns) float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for i := range 1 << 8 {
		bit := func(k int) float64 { return float64(i >> k & 1) }
		x := f(unknowns{bit(0), bit(1), bit(2), bit(3), bit(4), bit(5), bit(6), bit(7)})
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
	if s.g.FuelBefore != s.g.FuelAfter || s.g.FuelBefore.Unsure > 0 {
		unknown("ethanol in the fuel", s.ethanol)
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
	return all
}
