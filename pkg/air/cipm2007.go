package air

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Limits of the CIPM-2007 formula.
const (
	cipmMinPressure    = 60e3
	cipmMaxPressure    = 110e3
	cipmMinTemperature = 288.15
	cipmMaxTemperature = 300.15
)

// cipmRelativeUncertainty is the relative standard uncertainty of the formula
// itself, Picard et al. (2008), section 3.
const cipmRelativeUncertainty = 22e-6

// CIPM2007 is the formula for the density of moist air recommended by the
// Comité international des poids et mesures. The zero value is ready for use.
type CIPM2007 struct {
	// CarbonDioxide is the mole fraction of CO₂, from 0.0002 to 0.01; zero
	// means 0.0004, the formula's reference.
	CarbonDioxide float64
}

// DensityCIPM2007 returns the density of moist air by CIPM-2007 for a mole
// fraction of carbon dioxide of 0.0004, see [CIPM2007.Density].
//
// Errors are those of [CIPM2007.Density].
func DensityCIPM2007(p quantity.Pressure, t quantity.Temperature, h quantity.RelativeHumidity) (quantity.Density, error) {
	return CIPM2007{}.Density(p, t, h)
}

// Density returns the density of moist air.
//
//	ρ = p·M_a/(Z·R·T)·[1 − x_v·(1 − M_v/M_a)]
//
// p is absolute static pressure, h the relative humidity over water at t.
// Valid for 600 hPa ≤ p ≤ 1100 hPa, 15 °C ≤ t ≤ 27 °C, 0 ≤ h ≤ 1; otherwise
// NaN and an error that wraps [ErrOutOfRange]. Relative standard uncertainty
// of the formula 2.2e-5, without that of the arguments.
//
// Source: Picard, Davis, Gläser and Fujii, Metrologia 45 (2008) 149–155,
// equations (1) to (6) and appendix A; constants in table A1.
func (c CIPM2007) Density(p quantity.Pressure, t quantity.Temperature, h quantity.RelativeHumidity) (quantity.Density, error) {
	x, k, r := float64(p), t.Kelvin(), float64(h)
	if !(x >= cipmMinPressure && x <= cipmMaxPressure && k >= cipmMinTemperature && k <= cipmMaxTemperature && humidityOK(r)) {
		return quantity.Density(math.NaN()), cipmError(x, k, r)
	}
	co2 := c.CarbonDioxide
	if co2 == 0 {
		co2 = 0.0004
	} else if !(co2 >= 0.0002 && co2 <= 0.01) {
		return quantity.Density(math.NaN()), carbonDioxideError(co2)
	}
	return quantity.Density(cipm2007(x, k, r, co2)), nil
}

// cipm2007 is the bare formula: p in Pa, T in K, h and co2 as fractions.
func cipm2007(p, T, h, co2 float64) float64 {
	const (
		R  = 8.314472
		mv = 18.01528e-3

		a0, a1, a2 = 1.58123e-6, -2.9331e-8, 1.1043e-10
		b0, b1     = 5.707e-6, -2.051e-8
		c0, c1     = 1.9898e-4, -2.376e-6
		d, e       = 1.83e-11, -0.765e-8
	)
	t := quantity.Kelvin(T).Celsius()
	psv := math.Exp((1.2378847e-5*T-1.9121316e-2)*T + 33.93711047 - 6.3431645e3/T)
	f := 1.00062 + 3.14e-8*p + 5.6e-7*t*t
	xv := h * f * psv / p
	q := p / T
	Z := 1 - q*(a0+t*(a1+a2*t)+xv*(b0+b1*t+xv*(c0+c1*t))) + q*q*(d+e*xv*xv)
	ma := (28.96546 + 12.011*(co2-0.0004)) * 1e-3
	return p * (ma - xv*(ma-mv)) / (Z * R * T)
}
