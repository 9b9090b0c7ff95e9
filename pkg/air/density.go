package air

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Specific gas constants in J/(kg·K).
const (
	gasConstantDry    = 287.05287 // ISO 2533:1975, clause 2
	gasConstantVapour = 461.523   // R/M_v with CIPM-2007's R = 8.314472 and M_v = 18.01528 g/mol
)

// DryDensity returns the density of dry air.
//
//	ρ = p/(R·T), R = 287.05287 J/(kg·K)
//
// p is absolute static pressure, not gauge and not reduced to sea level.
// Assumes an ideal gas without vapour. Valid for 10 kPa ≤ p ≤ 120 kPa and
// −40 °C ≤ t ≤ 150 °C; otherwise NaN and an error that wraps [ErrOutOfRange].
//
// Source: ISO 2533:1975, equation of state and table 1.
func DryDensity(p quantity.Pressure, t quantity.Temperature) (quantity.Density, error) {
	x, k := float64(p), t.Kelvin()
	if !pressureOK(x) || !temperatureOK(k) {
		return quantity.Density(math.NaN()), inputError("DryDensity", x, k, 0)
	}
	return quantity.Density(x / (gasConstantDry * k)), nil
}

// Density returns the density of moist air as a mixture of two ideal gases.
//
//	ρ = (p − e)/(R_d·T) + e/(R_v·T), e = h·e_s(T)
//
// p is absolute static pressure, h the relative humidity over water of this
// air at this temperature: outside humidity does not hold in a hot engine
// bay, see [State.Heated]. e_s is by Hyland and Wexler. Ignores the
// compressibility and the enhancement factor: together below 0.1 % for outside air
// at any intake temperature, up to 0.2 % at 60 °C saturated and 0.45 % at 80 °C
// and 95 %, always too low.
// Valid for 10 kPa ≤ p ≤ 120 kPa, −40 °C ≤ t ≤ 150 °C, 0 ≤ h ≤ 1, and vapour
// pressure below half of p; otherwise NaN and an error that wraps
// [ErrOutOfRange].
//
// Source: Dalton's law with the gas constants of ISO 2533:1975 and CIPM-2007.
func Density(p quantity.Pressure, t quantity.Temperature, h quantity.RelativeHumidity) (quantity.Density, error) {
	x, k, r := float64(p), t.Kelvin(), float64(h)
	if !pressureOK(x) || !temperatureOK(k) || !humidityOK(r) {
		return quantity.Density(math.NaN()), inputError("Density", x, k, r)
	}
	e := r * hylandWexler(k)
	if e > x/2 {
		return quantity.Density(math.NaN()), vapourPressureError("Density", e, x/2, "half the air pressure")
	}
	return quantity.Density(idealMixture(x, k, e)), nil
}

// DensityFromVapourPressure returns the density of moist air from its vapour
// pressure e instead of its relative humidity, see [Density].
//
// Out of range gives NaN and an error that wraps [ErrOutOfRange].
func DensityFromVapourPressure(p quantity.Pressure, t quantity.Temperature, e quantity.Pressure) (quantity.Density, error) {
	x, k, v := float64(p), t.Kelvin(), float64(e)
	if !pressureOK(x) || !temperatureOK(k) {
		return quantity.Density(math.NaN()), inputError("DensityFromVapourPressure", x, k, 0)
	}
	if !(v >= 0 && v <= x/2) {
		return quantity.Density(math.NaN()), vapourPressureError("DensityFromVapourPressure", v, x/2, "half the air pressure")
	}
	return quantity.Density(idealMixture(x, k, v)), nil
}

func idealMixture(p, t, e float64) float64 {
	return (p - (1-gasConstantDry/gasConstantVapour)*e) / (gasConstantDry * t)
}
