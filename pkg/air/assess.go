package air

import (
	"errors"
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// idealUncertainty is the relative standard uncertainty put on the ideal
// mixture of pressure p and vapour pressure e: 0.1 %, and a hundredth of the
// vapour's share where that is more. Against IAPWS G8-10 (testdata) it is
// within 0.08 % for all outside air, however hot it gets on its way; saturated
// at 60 °C it is 0.09 % too low and at 80 °C and 95 % 0.28 %, where another
// computation of the same air said 0.20 % and 0.43 %.
func idealUncertainty(p, e float64) float64 { return math.Max(1e-3, 1e-2*e/p) }

// Assessment is a density with the formula that gave it and what the other
// formula says.
type Assessment struct {
	Density quantity.Density
	// Method names the formula.
	Method string
	// StandardUncertainty is that of the formula alone, without the arguments'.
	StandardUncertainty quantity.Density
	// Ideal is the density of the mixture of two ideal gases.
	Ideal quantity.Density
	// Difference is Ideal relative to CIPM-2007 minus one; NaN outside the
	// range of CIPM-2007.
	Difference float64
	// Note says why the method was taken.
	Note string
}

// Assess returns the density of moist air by CIPM-2007 inside its range and
// by the ideal mixture outside, with the difference of the two stated.
// Arguments and errors as for [Density].
func Assess(p quantity.Pressure, t quantity.Temperature, h quantity.RelativeHumidity) (Assessment, error) {
	nan := quantity.Density(math.NaN())
	ideal, err := Density(p, t, h)
	if err != nil {
		return Assessment{Density: nan, StandardUncertainty: nan, Ideal: nan, Difference: math.NaN()}, err
	}
	exact, err := DensityCIPM2007(p, t, h)
	if errors.Is(err, ErrOutOfRange) {
		return Assessment{
			Density: ideal, Method: "ideal mixture", Ideal: ideal, Difference: math.NaN(),
			StandardUncertainty: quantity.Density(idealUncertainty(float64(p), float64(h)*hylandWexler(t.Kelvin()))) * ideal,
			Note:                "outside the range of CIPM-2007 (600 hPa to 1100 hPa, 15 °C to 27 °C)",
		}, nil
	}
	d := float64(ideal/exact) - 1
	return Assessment{
		Density: exact, Method: "CIPM-2007", Ideal: ideal, Difference: d,
		StandardUncertainty: cipmRelativeUncertainty * exact,
		Note:                fmt.Sprintf("the ideal mixture differs by %+.3f %%", 100*d),
	}, nil
}

// String returns the density, its formula's uncertainty and the note.
func (a Assessment) String() string {
	return fmt.Sprintf("%.5f kg/m³ ± %.5f (%s; %s)", float64(a.Density), float64(a.StandardUncertainty), a.Method, a.Note)
}
