package fuel

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Blend is what the jets meter: petrol, perhaps with ethanol in it. The zero
// value is petrol without.
type Blend struct {
	// Ethanol is its share of the volume, 0.10 for what is sold as E10.
	Ethanol float64
	// Unsure is the half width of what is not known of that share: a pump's
	// label says the most that may be in it.
	Unsure float64
}

// Properties of the parts at 15 °C. Petrol of EN 228 may have 720 to 775 kg/m³
// and ethanol has 794 (from memory); petrol is taken as CH₁.₈₇.
const (
	petrolDensity, ethanolDensity = 745.0, 794.0 // kg/m³
	petrolHydrogen                = 1.87         // atoms for one of carbon
	// Expansion and ExpansionHigh bound petrol's volumetric thermal expansion,
	// 1/K. A physics textbook's exercise (College Physics, ch. 10) takes
	// 0.96e-3, engineers' answers 0.95e-3 to 1.0e-3; light petrol is quoted up
	// to 1.1e-3 (from memory).
	Expansion, ExpansionHigh = 0.95e-3, 1.1e-3
)

// StoichiometricRatio returns the mass of dry air that burns a unit mass of the
// fuel completely, worked out from the atoms: about 14.6 for petrol, 9.0 for
// ethanol. NaN for a share of ethanol outside 0 to 1.
func (f Blend) StoichiometricRatio() float64 {
	if !(f.Ethanol >= 0 && f.Ethanol <= 1) {
		return math.NaN()
	}
	mass := f.Ethanol * ethanolDensity / f.density()
	return mass*airFor(2, 6, 1) + (1-mass)*airFor(1, petrolHydrogen, 0)
}

// density is that of the blend at 15 °C; what mixing adds to the volume is
// below 0.3 % and left out.
func (f Blend) density() float64 {
	return f.Ethanol*ethanolDensity + (1-f.Ethanol)*petrolDensity
}

// airFor returns the mass of air that burns a unit mass of a fuel with so many
// atoms. Air has 23.14 % of oxygen by mass (standard atmosphere, ISO 2533).
func airFor(carbon, hydrogen, oxygen float64) float64 {
	const c, h, o, share = 12.011, 1.008, 15.999, 0.2314
	needed := (2*carbon + hydrogen/2 - oxygen) * o
	return needed / share / (carbon*c + hydrogen*h + oxygen*o)
}

// LeanerThan returns how much leaner the same jets run on fuel f than on g at
// one temperature: each kilogram needs less air, and the jets pass the mass by
// the root of the density. What viscosity changes at a jet is not modelled.
func (f Blend) LeanerThan(g Blend) float64 {
	return g.StoichiometricRatio() / f.StoichiometricRatio() * math.Sqrt(g.density()/f.density())
}

// Check returns nil for shares of ethanol of 0 to 1, over all that it may be;
// otherwise an error that wraps [quantity.ErrOutOfRange].
func (f Blend) Check() error {
	const rounding = 1e-9
	for _, share := range []float64{f.Ethanol, f.Ethanol - f.Unsure, f.Ethanol + f.Unsure} {
		if !(share >= -rounding && share <= 1+rounding) {
			return quantity.OutOfRange("fuel.Blend", "share of ethanol", share, 0, 1, quantity.KindShare.Shown(), "10 % is 0.10")
		}
	}
	return nil
}
