package sensor

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Bead is a bare thermocouple junction in an air stream.
type Bead struct {
	Diameter quantity.Length
	// Emissivity of its surface; 0 means 0.85, an oxidised bead.
	Emissivity float64
	// HeatCapacity is that of its metal by volume, in J/(m³·K); 0 means 3.9e6,
	// nickel alloys.
	HeatCapacity float64
}

const stefanBoltzmann = 5.670374419e-8 // W/(m²·K⁴), SI brochure 9th ed. (exact constants)

// Radiation is what walls of another temperature do to a bead's reading.
type Radiation struct {
	// Error is the bead's temperature less the air's.
	Error quantity.TemperatureDifference
	// TimeConstant of the bead in that air, in seconds.
	TimeConstant float64
	// Film is the heat transfer coefficient by convection, in W/(m²·K).
	Film float64
	// ErrorBounds and TimeConstantBounds are how badly the two are known: the
	// coefficient to 30 % (Whitaker's own figure, from memory), an emissivity
	// that was not given from 0.6 to 0.95.
	ErrorBounds, TimeConstantBounds estimate.Estimate
}

// filmUncertainty is the relative half-width of Whitaker's coefficient.
const filmUncertainty = 0.30

// InAir estimates the steady radiation error and the time constant of a bead
// in air of temperature t and speed v, surrounded by walls of one temperature:
//
//	h·(T_b − T_air) = ε·σ·(T_wall⁴ − T_b⁴),  τ = ρc·d/(6·h)
//
// with h from Nu = 2 + (0.4·Re^½ + 0.06·Re^⅔)·Pr^0.4 for a sphere (Whitaker,
// AIChE J. 18 (1972) 361; the viscosity ratio is left out) and air properties
// at sea level from the U.S. Standard Atmosphere 1976, equations (51) and
// (53). Conduction along the wires is left out, and a manifold fills part of
// the view only: the result is an estimate of size, an upper bound for one hot
// wall, and no correction.
//
// Valid for beads of 0.1 mm to 10 mm, air of 0.1 m/s to 100 m/s and −40 °C to
// 200 °C, walls of −40 °C to 900 °C; otherwise NaN and an error that wraps
// ErrOutOfRange.
func (b Bead) InAir(t quantity.Temperature, v quantity.Speed, wall quantity.Temperature) (Radiation, error) {
	kelvin, second := quantity.KindTemperatureDifference.SI(), quantity.KindDuration.SI()
	nan := Radiation{quantity.TemperatureDifference(math.NaN()), math.NaN(), math.NaN(),
		estimate.Unknown("radiation error", kelvin, "an input is not valid"), estimate.Unknown("time constant", second, "an input is not valid")}
	dull, bright := b.Emissivity, b.Emissivity
	if b.Emissivity == 0 {
		b.Emissivity, bright, dull = 0.85, 0.6, 0.95
	}
	if b.HeatCapacity == 0 {
		b.HeatCapacity = 3.9e6
	}
	for _, c := range []struct {
		what   string
		si     float64
		lo, hi float64 // in the unit
		unit   quantity.Unit
	}{
		{"bead diameter", float64(b.Diameter), 0.1, 10, quantity.KindLength.Unit("mm")},
		{"air speed", float64(v), 0.1, 100, quantity.KindSpeed.SI()},
		{"air temperature", t.Kelvin(), -40, 200, quantity.KindTemperature.Shown()},
		{"wall temperature", wall.Kelvin(), -40, 900, quantity.KindTemperature.Shown()},
		{"emissivity", b.Emissivity, 0.01, 1, quantity.Unit{}},
		{"heat capacity in J/(m³·K)", b.HeatCapacity, 1e5, 1e7, quantity.Unit{}},
	} {
		if x := c.unit.FromSI(c.si); !(x >= c.lo-rounding && x <= c.hi+rounding) {
			return nan, quantity.OutOfRange("sensor.Bead.InAir", c.what, c.si, c.unit.ToSI(c.lo), c.unit.ToSI(c.hi), c.unit, "")
		}
	}
	air, hot, d := t.Kelvin(), wall.Kelvin(), float64(b.Diameter)
	conductivity := 2.64638e-3 * math.Pow(air, 1.5) / (air + 245.4*math.Pow(10, -12/air))
	viscosity := 1.458e-6 * math.Pow(air, 1.5) / (air + 110.4)
	density := float64(quantity.StandardAtmosphere) / (287.05287 * air)
	re := density * float64(v) * d / viscosity
	pr := viscosity * 1005 / conductivity
	h := conductivity / d * sphereNusselt(re, pr)
	bead := beadTemperature(air, hot, h, b.Emissivity)
	tau := beadTimeConstant(b.HeatCapacity, d, h)
	most, least := h*(1+filmUncertainty), h*(1-filmUncertainty)
	return Radiation{quantity.KelvinDifference(bead - air), tau, h,
		estimate.Within("radiation error", bead-air, kelvin, beadTemperature(air, hot, most, bright)-air, beadTemperature(air, hot, least, dull)-air),
		estimate.Within("time constant", tau, second, beadTimeConstant(b.HeatCapacity, d, most), beadTimeConstant(b.HeatCapacity, d, least))}, nil
}

// sphereNusselt is Whitaker's law without the ratio of viscosities.
func sphereNusselt(re, pr float64) float64 {
	return 2 + (0.4*math.Sqrt(re)+0.06*math.Pow(re, 2.0/3))*math.Pow(pr, 0.4)
}

// beadTemperature balances convection from air and radiation from walls, K, by
// Newton's method; the balance is monotonous in the bead's temperature.
func beadTemperature(air, hot, h, emissivity float64) float64 {
	bead := air
	for range 50 {
		f := h*(bead-air) - emissivity*stefanBoltzmann*(math.Pow(hot, 4)-math.Pow(bead, 4))
		bead -= f / (h + 4*emissivity*stefanBoltzmann*math.Pow(bead, 3))
	}
	return bead
}

// beadTimeConstant is the heat of a sphere over what its surface passes.
func beadTimeConstant(heatCapacity, diameter, h float64) float64 {
	return heatCapacity * diameter / 6 / h
}
