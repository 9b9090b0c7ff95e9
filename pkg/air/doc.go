// Package air computes properties of moist air: density, saturation vapour
// pressure, dew point, wet-bulb temperature, and the standard atmosphere.
//
// A [State] holds what describes a parcel of air: absolute pressure,
// temperature and vapour pressure. Air that is heated on its way through an
// engine bay keeps its vapour pressure, not its relative humidity; use
// [State.Heated].
//
//	outside, err := air.NewState(1008*quantity.Hectopascal, quantity.Celsius(27), 0.5)
//	intake, err := outside.Heated(quantity.Celsius(57))
//	loss := 1 - float64(intake.Density()/outside.Density())
//
// Two formulas for density:
//
//   - [Density], the mixture of two ideal gases: −40 °C to 150 °C, within
//     0.1 % of CIPM-2007 where both apply (the largest difference on a grid
//     over the range of CIPM-2007 is 0.06 %), and within 0.08 % of IAPWS G8-10
//     for outside air heated to 80 °C. Air that is saturated when hot is another
//     matter: 0.2 % too low at 60 °C, up to 0.45 % at 80 °C and 95 %. It is the
//     one to use for an engine bay, which is hotter than any range of CIPM-2007.
//   - [DensityCIPM2007], the metrologists' formula: 15 °C to 27 °C and 600 hPa
//     to 1100 hPa, relative standard uncertainty 2.2e-5 of the formula itself.
//
// [Assess] returns the better of the two with the difference stated.
//
// Saturation vapour pressure has four formulas, see [SaturationFormula]. The
// default is Hyland and Wexler's: of the four it lies closest to the
// international steam tables (IAPWS-IF97) from 0 °C to 100 °C, within 0.03 %,
// while Magnus is 0.3 % low at 20 °C and 0.2 % high at 60 °C, its end.
//
// Every function checks its arguments. Outside the stated range it returns
// NaN beside an error that wraps [ErrOutOfRange] and, where a slip of units is
// likely, says which one. Pressures are absolute pressures at the place, not
// gauge pressures and not reduced to sea level; see [StationPressure].
//
// Functions over slices never stop at a bad sample: they write NaN, count it
// and keep the first reason, see [Rejected].
package air
