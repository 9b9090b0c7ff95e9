package duct

import "math"

// Reynolds numbers between which neither the laminar nor the turbulent law
// holds; a straight line between the two joins them (common practice).
const (
	laminarEnd     = 2300.0
	turbulentBegin = 4000.0
)

// Colebrook returns the Darcy friction factor of turbulent flow in a round
// pipe, solved exactly.
//
//	1/√f = −2·log₁₀[ε/(3.7 D) + 2.51/(Re·√f)]
//
// re is the Reynolds number, roughness is ε/D. Valid for 4000 ≤ Re ≤ 1e8 and
// 0 ≤ ε/D ≤ 0.05; otherwise NaN and an error that wraps [ErrOutOfRange].
//
// Source: Colebrook, J. Inst. Civ. Eng. 11 (1939) 133–156.
func Colebrook(re, roughness float64) (float64, error) {
	if !(re >= turbulentBegin && re <= 1e8) {
		return math.NaN(), rangeError("Colebrook", "Reynolds number", re, turbulentBegin, 1e8, plain, "laminar and transitional flow: FrictionFactor")
	}
	if !(roughness >= 0 && roughness <= 0.05) {
		return math.NaN(), rangeError("Colebrook", "relative roughness", roughness, 0, 0.05, plain, "")
	}
	return colebrook(re, roughness), nil
}

// colebrook solves for x = 1/√f by Newton's method from Haaland's estimate;
// three steps reach the last bits.
func colebrook(re, roughness float64) float64 {
	a, b := roughness/3.7, 2.51/re
	x := -1.8 * math.Log10(math.Pow(a, 1.11)+6.9/re)
	for range 4 {
		g := x + 2*math.Log10(a+b*x)
		x -= g / (1 + 2*b/(math.Ln10*(a+b*x)))
	}
	return 1 / (x * x)
}

// FrictionFactor returns the Darcy friction factor for any Reynolds number up
// to 1e8: 64/Re below 2300, [Colebrook] from 4000, a straight line between.
// Relative roughness as for Colebrook.
//
// Valid for Reynolds numbers from 0 to 1e8 and a roughness of 0 to 0.05; otherwise NaN
// and an error that wraps [ErrOutOfRange].
func FrictionFactor(re, roughness float64) (float64, error) {
	if !(re > 0 && re <= 1e8) {
		return math.NaN(), rangeError("FrictionFactor", "Reynolds number", re, 0, 1e8, plain, "")
	}
	if !(roughness >= 0 && roughness <= 0.05) {
		return math.NaN(), rangeError("FrictionFactor", "relative roughness", roughness, 0, 0.05, plain, "")
	}
	return frictionFactor(re, roughness), nil
}

func frictionFactor(re, roughness float64) float64 {
	switch {
	case re < laminarEnd:
		return 64 / re
	case re < turbulentBegin:
		w := (re - laminarEnd) / (turbulentBegin - laminarEnd)
		return (1-w)*64/laminarEnd + w*colebrook(turbulentBegin, roughness)
	}
	return colebrook(re, roughness)
}
