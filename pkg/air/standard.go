package air

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Constants of the standard atmosphere, ISO 2533:1975, tables 1 to 3.
const (
	standardPressure    = float64(quantity.StandardAtmosphere) // Pa at mean sea level
	standardTemperature = 288.15                               // K at mean sea level
	lapseRate           = 0.0065                               // K/m of geopotential height
	standardGravity     = float64(quantity.StandardGravity)    // m/s²
	nominalEarthRadius  = 6356766.0                            // m
	barometricExponent  = standardGravity / (gasConstantDry * lapseRate)
	minStandardHeight   = -2000.0 // m, geopotential
	maxStandardHeight   = 11000.0 // m, top of the troposphere
)

// StandardAtmosphere is the ISO 2533 atmosphere at one height: dry air.
type StandardAtmosphere struct {
	// Geopotential and Geometric are the same height above mean sea level,
	// counted in constant and in true gravity. A map or GPS receiver with a
	// geoid model gives the geometric one.
	Geopotential, Geometric quantity.Length
	Temperature             quantity.Temperature
	Pressure                quantity.Pressure
	Density                 quantity.Density
}

// String returns heights, temperature, pressure and density.
func (a StandardAtmosphere) String() string {
	return fmt.Sprintf("%.0f m (geopotential %.0f m): %v, %v, %v", float64(a.Geometric), float64(a.Geopotential), a.Temperature, a.Pressure, a.Density)
}

// GeopotentialFromGeometric returns the geopotential height of the geometric
// height z above mean sea level.
//
//	H = r·z/(r + z), r = 6 356 766 m
//
// Source: ISO 2533:1975, equation (8). Valid for |z| ≤ 100 km, otherwise NaN.
func GeopotentialFromGeometric(z quantity.Length) quantity.Length {
	if !(math.Abs(float64(z)) <= 100e3) {
		return quantity.Length(math.NaN())
	}
	return nominalEarthRadius * z / (nominalEarthRadius + z)
}

// GeometricFromGeopotential is the inverse of [GeopotentialFromGeometric].
func GeometricFromGeopotential(h quantity.Length) quantity.Length {
	if !(math.Abs(float64(h)) <= 98e3) {
		return quantity.Length(math.NaN())
	}
	return nominalEarthRadius * h / (nominalEarthRadius - h)
}

// StandardAtGeopotential returns the standard atmosphere at geopotential
// height h.
//
//	T = 288.15 K − 0.0065 K/m·H
//	p = 101325 Pa·(T/288.15 K)^(g/(R·0.0065 K/m))
//
// Valid for −2 km ≤ H ≤ 11 km; otherwise NaN and an error that wraps
// [ErrOutOfRange].
//
// Source: ISO 2533:1975, equations (11) and (12); the same numbers as the
// U.S. Standard Atmosphere 1976 below 32 km.
func StandardAtGeopotential(h quantity.Length) (StandardAtmosphere, error) {
	if !(h >= minStandardHeight && h <= maxStandardHeight) {
		nan := math.NaN()
		return StandardAtmosphere{quantity.Length(nan), quantity.Length(nan), quantity.Kelvin(nan), quantity.Pressure(nan), quantity.Density(nan)},
			quantity.OutOfRange("air.StandardAtGeopotential", "height", float64(h), minStandardHeight, maxStandardHeight, quantity.KindLength.SI(), "")
	}
	t := standardTemperature - lapseRate*float64(h)
	p := standardPressure * math.Pow(t/standardTemperature, barometricExponent)
	return StandardAtmosphere{
		Geopotential: h, Geometric: GeometricFromGeopotential(h),
		Temperature: quantity.Kelvin(t), Pressure: quantity.Pressure(p), Density: quantity.Density(p / (gasConstantDry * t)),
	}, nil
}

// StandardAtGeometric returns the standard atmosphere at geometric height z,
// the one that a map gives. Range and errors as for [StandardAtGeopotential].
func StandardAtGeometric(z quantity.Length) (StandardAtmosphere, error) {
	return StandardAtGeopotential(GeopotentialFromGeometric(z))
}

// StandardAtPressure returns the standard atmosphere where its pressure is p:
// the pressure altitude. Valid from 226.4 hPa to 1277 hPa; otherwise NaN and an
// error that wraps [ErrOutOfRange].
func StandardAtPressure(p quantity.Pressure) (StandardAtmosphere, error) {
	h := (standardTemperature / lapseRate) * (1 - math.Pow(float64(p)/standardPressure, 1/barometricExponent))
	return standardInverse("StandardAtPressure", quantity.KindPressure, float64(p), h)
}

// StandardAtDensity returns the standard atmosphere where its density is rho:
// the density altitude. Valid from 0.364 kg/m³ to 1.478 kg/m³; otherwise NaN
// and an error that wraps [ErrOutOfRange].
func StandardAtDensity(rho quantity.Density) (StandardAtmosphere, error) {
	const rho0 = standardPressure / (gasConstantDry * standardTemperature)
	h := (standardTemperature / lapseRate) * (1 - math.Pow(float64(rho)/rho0, 1/(barometricExponent-1)))
	return standardInverse("StandardAtDensity", quantity.KindDensity, float64(rho), h)
}

func standardInverse(function string, kind quantity.Kind, x, h float64) (StandardAtmosphere, error) {
	// The ends of the range come back from the inverse with a rounding error.
	if math.Abs(h-minStandardHeight) < 1e-6 {
		h = minStandardHeight
	} else if math.Abs(h-maxStandardHeight) < 1e-6 {
		h = maxStandardHeight
	}
	a, err := StandardAtGeopotential(quantity.Length(h))
	if err != nil || !(x > 0) {
		a, _ = StandardAtGeopotential(quantity.Length(math.NaN()))
		hint := fmt.Sprintf("heights from %g m to %g m", minStandardHeight, maxStandardHeight)
		if other := otherUnit(kind, x); other != "" {
			hint += "; " + other
		}
		return a, quantity.OutOfRange("air."+function, kind.String(), x, math.NaN(), math.NaN(), kind.SI(), hint)
	}
	return a, nil
}
