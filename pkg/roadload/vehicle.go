package roadload

import (
	"errors"
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/uncertainty"
)

// ErrOutOfRange is wrapped by errors about arguments outside the range that
// makes sense. It is [quantity.ErrOutOfRange].
var ErrOutOfRange = quantity.ErrOutOfRange

// ErrTooFew is wrapped by errors about data that do not suffice.
var ErrTooFew = errors.New("not enough data")

const gravity = float64(quantity.StandardGravity) // m/s²

// rangeError takes SI values and the unit to show them in.
func rangeError(function, what string, got, low, high float64, unit quantity.Unit, hint string) error {
	return quantity.OutOfRange("roadload."+function, what, got, low, high, unit, hint)
}

// bounded is a value with its bounds, in SI, and the unit to show them in.
type bounded struct {
	what         string
	x, low, high float64
	unit         quantity.Unit
	hint         string
}

// inRanges refuses the first value that is not within its bounds.
func inRanges(function string, values []bounded) error {
	for _, v := range values {
		if !(v.x >= v.low && v.x <= v.high) {
			return rangeError(function, v.what, v.x, v.low, v.high, v.unit, v.hint)
		}
	}
	return nil
}

// plain is the unit of numbers without one.
var plain quantity.Unit

// Vehicle is what is accelerated.
type Vehicle struct {
	// Mass is as driven: with driver, fuel and load.
	Mass quantity.Mass
	// RotatingInertia is the part of Mass that rotating parts add to the
	// inertia; zero takes 0.03, wheels and axle in neutral (SAE J2263, 1.03·M).
	// In gear the engine adds more: about 0.06 in top gear, 0.10 in second of
	// an older saloon (common practice).
	RotatingInertia float64
}

// effective returns M and M_e in kg.
func (v Vehicle) effective(function string) (m, me float64, err error) {
	m = float64(v.Mass)
	if !(m >= 200 && m <= 5000) {
		return math.NaN(), math.NaN(), rangeError(function, "mass", m, 200, 5000, quantity.KindMass.SI(), "")
	}
	r := v.RotatingInertia
	if r == 0 {
		r = 0.03
	}
	if !(r >= 0 && r <= 0.5) {
		return math.NaN(), math.NaN(), rangeError(function, "rotating inertia as a share of the mass", r, 0, 0.5, plain, "0.03 means 3 %")
	}
	return m, m * (1 + r), nil
}

// rollingPerKelvin is by how much rolling resistance falls per kelvin, and
// rollingUncertainty its standard uncertainty.
const rollingPerKelvin, rollingUncertainty = 0.0086, 0.002

// brochure is the relative standard uncertainty of a car's published drag area
// and rolling resistance.
const brochure = 0.10

// RoadLoad is the force that resists steady driving on a level road in still
// air, F0 + F1·V + F2·V², V in m/s.
type RoadLoad struct {
	F0 float64 // N
	F1 float64 // N/(m/s)
	F2 float64 // N/(m/s)²
	// Covariance is that of F0, F1, F2 in their units; all zero if unknown.
	Covariance [3][3]float64
	// DegreesOfFreedom of the covariance, zero for infinite or unknown.
	DegreesOfFreedom float64
}

// check refuses coefficients that no car has; what a fit of few runs may say below
// zero passes.
func (l RoadLoad) check(function string) error {
	for _, c := range []struct {
		what         string
		x, low, high float64
	}{{"F0 in N", l.F0, -100, 20e3}, {"F1 in N/(m/s)", l.F1, -100, 500}, {"F2 in N/(m/s)²", l.F2, -10, 20}} {
		if !(c.x >= c.low && c.x <= c.high) {
			return rangeError(function, "road load, "+c.what, c.x, c.low, c.high, plain, "was the coast-down refused?")
		}
	}
	for i := range l.Covariance {
		for j, x := range l.Covariance[i] {
			most := math.Sqrt(l.Covariance[i][i]*l.Covariance[j][j]) * (1 + 1e-6)
			if low := -most; i == j && x < 0 || !(x >= low && x <= most) || math.IsInf(x, 0) {
				return rangeError(function, fmt.Sprintf("covariance of the road load, row %d, column %d,", i+1, j+1), x, low, most, plain, "leave all of it zero if it is not known")
			}
		}
	}
	if !(l.DegreesOfFreedom >= 0) {
		return rangeError(function, "degrees of freedom of the road load", l.DegreesOfFreedom, 0, math.Inf(1), plain, "zero if they are not known")
	}
	return nil
}

// FromDragArea returns the road load of a car of known drag area (C_D·A) and
// rolling resistance coefficient in air of density rho.
//
//	F0 = C_R·M·g, F2 = ½·ρ·C_D·A
//
// Both coefficients are taken as known to 10 % (standard uncertainty, common
// practice, no source): brochures give wind tunnels and new tyres.
//
// It fails, wrapping [ErrOutOfRange], for values that no car has.
func FromDragArea(v Vehicle, dragArea quantity.Area, rolling float64, rho quantity.Density) (RoadLoad, error) {
	m, _, err := v.effective("FromDragArea")
	switch {
	case err != nil:
		return RoadLoad{}, err
	case !(dragArea >= 0.1 && dragArea <= 3):
		return RoadLoad{}, rangeError("FromDragArea", "drag area", float64(dragArea), 0.1, 3, quantity.KindArea.SI(), "")
	case !(rolling >= 0.003 && rolling <= 0.1):
		return RoadLoad{}, rangeError("FromDragArea", "rolling resistance coefficient", rolling, 0.003, 0.1, plain, "")
	case !(rho >= 0.5 && rho <= 1.6):
		return RoadLoad{}, rangeError("FromDragArea", "air density", float64(rho), 0.5, 1.6, quantity.KindDensity.SI(), "")
	}
	l := RoadLoad{F0: rolling * m * gravity, F2: 0.5 * float64(rho) * float64(dragArea)}
	l.Covariance[0][0], l.Covariance[2][2] = math.Pow(brochure*l.F0, 2), math.Pow(brochure*l.F2, 2)
	return l, nil
}

// Force returns the road load at road speed v in N with its standard
// uncertainty.
func (l RoadLoad) Force(v quantity.Speed) uncertainty.Value {
	x := float64(v)
	g := [3]float64{1, x, x * x}
	variance := 0.0
	for i := range g {
		for j := range g {
			variance += g[i] * g[j] * l.Covariance[i][j]
		}
	}
	return uncertainty.Value{X: l.F0 + l.F1*x + l.F2*x*x, U: math.Sqrt(math.Max(0, variance)), DegreesOfFreedom: l.DegreesOfFreedom}
}

// AtReference returns the road load for the reference air density and
// temperature, from one measured at density rho and temperature t.
//
//	F2·ρ_ref/ρ, F0·[1 + K·(t − t_ref)], F1·[1 + K·(t − t_ref)], K = 0.0086/K
//
// The first and second are what tyres and bearings take, the third is the
// air's: all three terms are corrected, as global technical regulation 15,
// annex 4, does (formula from memory, text not seen; ISO 10521-1 is its
// origin). Its corrections for the wind and for another mass are not made:
// [FitCoastDown] fits still air, and the mass is the one driven. References
// are 20 °C and 98.21 kPa (SAE J2263, 1.17 kg/m³ in 40 CFR 1066.310) or
// 100 kPa (the regulation); the density comes from air. UN Regulation 117,
// annex 6, as quoted in public, has K = 0.008/K for the tyres of cars; for
// cross-ply tyres none was found. K is taken as known to 0.002/K, which goes
// into the covariance. Valid for −10 °C to 45 °C.
//
// Source: global technical regulation 15, annex 4, paragraph 4.5 (from memory).
//
// It fails, wrapping [ErrOutOfRange], for air or a load that can't be.
func (l RoadLoad) AtReference(rho, reference quantity.Density, t, tReference quantity.Temperature) (RoadLoad, error) {
	nan := RoadLoad{F0: math.NaN(), F1: math.NaN(), F2: math.NaN()}
	if err := l.check("AtReference"); err != nil {
		return nan, err
	}
	for _, d := range []quantity.Density{rho, reference} {
		if !(d >= 0.5 && d <= 1.6) {
			return nan, rangeError("AtReference", "air density", float64(d), 0.5, 1.6, quantity.KindDensity.SI(), "")
		}
	}
	for _, x := range []quantity.Temperature{t, tReference} {
		if !(x.Celsius() >= -10 && x.Celsius() <= 45) {
			return nan, rangeError("AtReference", "temperature", x.Kelvin(), quantity.Celsius(-10).Kelvin(), quantity.Celsius(45).Kelvin(), quantity.KindTemperature.Shown(), "")
		}
	}
	warmer := t.Sub(tReference).Kelvins()
	roll, aero := 1+rollingPerKelvin*warmer, float64(reference/rho)
	r := l
	scale := [3]float64{roll, roll, aero}
	r.F0, r.F1, r.F2 = l.F0*roll, l.F1*roll, l.F2*aero
	unsure := [3]float64{l.F0 * rollingUncertainty * warmer, l.F1 * rollingUncertainty * warmer, 0}
	for i := range scale {
		for j := range scale {
			r.Covariance[i][j] = scale[i]*scale[j]*l.Covariance[i][j] + unsure[i]*unsure[j]
		}
	}
	return r, nil
}

// String returns the coefficients in SI units.
func (l RoadLoad) String() string {
	u := func(i int) float64 { return math.Sqrt(l.Covariance[i][i]) }
	return fmt.Sprintf("F0 %v N, F1 %v N/(m/s), F2 %v N/(m/s)²",
		uncertainty.Value{X: l.F0, U: u(0)}, uncertainty.Value{X: l.F1, U: u(1)}, uncertainty.Value{X: l.F2, U: u(2)})
}
