package duct

import "math"

// properties are those of dry air that friction and heat transfer need.
type properties struct {
	density      float64 // kg/m³, of the moist air
	viscosity    float64 // Pa·s
	conductivity float64 // W/(m·K)
}

// specificHeat is that of dry air at constant pressure near 300 K, J/(kg·K);
// 1004.7 for an ideal diatomic gas with ISO 2533's constant, 1006 measured.
const specificHeat = 1006.0

// viscosity returns the dynamic viscosity of air at T kelvin, Pa·s. U.S.
// Standard Atmosphere 1976, equation (51), Sutherland's formula; humidity is
// ignored (below 1 %).
func viscosity(T float64) float64 { return 1.458e-6 * T * math.Sqrt(T) / (T + 110.4) }

// conductivity returns the thermal conductivity of air at T kelvin, W/(m·K).
// U.S. Standard Atmosphere 1976, equation (53).
func conductivity(T float64) float64 {
	return 2.64638e-3 * T * math.Sqrt(T) / (T + 245.4*math.Pow(10, -12/T))
}

func (p properties) prandtl() float64 { return p.viscosity * specificHeat / p.conductivity }
