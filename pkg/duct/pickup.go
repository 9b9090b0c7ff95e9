package duct

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Surroundings are what the duct's parts in the bay sit in.
type Surroundings struct {
	Temperature quantity.Temperature
	// OutsideCoefficient is the heat transfer coefficient from bay air to the
	// wall, W/(m²·K), with its range; zero takes 15, 5 to 55: still air to a
	// draught of 7 m/s, with radiation (Churchill and Bernstein's law; how fast
	// the air in a bay is nobody was found to have measured).
	OutsideCoefficient, OutsideLow, OutsideHigh float64
}

func (s Surroundings) coefficients() (typical, low, high float64) {
	typical, low, high = s.OutsideCoefficient, s.OutsideLow, s.OutsideHigh
	if typical == 0 && low == 0 && high == 0 {
		return 15, 5, 55
	}
	return typical, orElse(low, typical), orElse(high, typical)
}

// PickUp is the heat that the air takes up on its way.
type PickUp struct {
	// Outlet is the temperature behind the last part; Rise is what was gained
	// on the way, bounded by the ranges of the two coefficients.
	Outlet quantity.Temperature
	Rise   estimate.Estimate
	// NTU is the sum of the parts' numbers of transfer units.
	NTU float64
}

var kelvin = quantity.KindTemperatureDifference.SI()

// String returns the rise on the way and the temperature behind the duct.
func (p PickUp) String() string { return p.In(quantity.Preferred{}) }

// In returns the same in the given units.
func (p PickUp) In(units quantity.Preferred) string {
	end, _ := units.Text(p.Outlet)
	return fmt.Sprintf("%s, %s at the end; NTU %.3g", p.onTheWay(units), end, p.NTU)
}

func (p PickUp) onTheWay(units quantity.Preferred) string {
	unit := units.Of(quantity.KindTemperatureDifference)
	return fmt.Sprintf("%s on the way (%.1f to %.1f)", units.Say(quantity.KindTemperatureDifference, "+%.1f", p.Rise.Value), unit.FromSI(p.Rise.Interval.Low), unit.FromSI(p.Rise.Interval.High))
}

// PickUp returns the heat pick-up of a steady volume flow of air a through the
// duct's parts that lie in the bay.
//
//	T_out = T_bay − (T_bay − T_in)·e^(−NTU), NTU = 1/(R·ṁ·c_p), R = 1/(h_i·A) + wall/A + 1/(h_o·A)
//
// h_i by Gnielinski (turbulent, ± 10 %) or Nu = 3.66 (laminar), h_o from the
// surroundings; the bounds have both at their lower or both at their upper
// ends, h_i of a corrugated bore between a smooth one's and twice as much
// friction as the 0.04 that is taken, between laminar and turbulent both, and a
// wall of half the resistance to half as much again. Conducted heat from hot
// mountings and radiation from the exhaust are not counted. Range and errors as
// for [Duct.Flow]; the surroundings may be −40 °C to 150 °C.
func (d Duct) PickUp(a air.State, q quantity.VolumeFlow, s Surroundings) (PickUp, error) {
	r := PickUp{Outlet: quantity.Kelvin(math.NaN()), Rise: estimate.Unknown("rise on the way", kelvin, "an input is not valid"), NTU: math.NaN()}
	if _, err := d.Flow(a, q); err != nil {
		return r, err
	}
	if q == 0 {
		return r, rangeError("PickUp", "volume flow", 0, 0, 1, quantity.KindVolumeFlow.SI(), "standing air takes the temperature of the bay")
	}
	bay := s.Temperature.Kelvin()
	if low, high := quantity.Celsius(-40).Kelvin(), quantity.Celsius(150).Kelvin(); !(bay >= low-1e-9 && bay <= high+1e-9) {
		return r, rangeError("PickUp", "bay temperature", bay, low, high, quantity.KindTemperature.Shown(), "")
	}
	h, low, high := s.coefficients()
	if !(low > 0 && low <= h && h <= high && high <= 500) {
		return r, rangeError("PickUp", fmt.Sprintf("outside heat transfer coefficient (%g to %g W/(m²·K))", low, high), h, 0, 500, plain, "all three above 0 and ascending")
	}
	inlet := a.Temperature.Kelvin()
	rise := func(h float64, side int) (float64, float64) {
		ntu := 0.0
		for _, p := range d.Parts {
			ntu += p.ntu(a, float64(q), h, side)
		}
		return pickUp(inlet, bay, ntu) - inlet, ntu
	}
	x, ntu := rise(h, 1)
	lo, _ := rise(low, 0)
	hi, _ := rise(high, 2)
	r.Outlet = quantity.Kelvin(inlet + x)
	r.Rise, r.NTU = estimate.Within("rise on the way", x, kelvin, lo, hi), ntu
	return r, nil
}

// ntu returns the part's number of transfer units at q m³/s with the outside
// coefficient h and the lower (0), central (1) or upper (2) inside coefficient.
func (p Part) ntu(a air.State, q, h float64, side int) float64 {
	if !p.InBay || p.Length <= 0 {
		return 0
	}
	T := a.Temperature.Kelvin()
	fluid := properties{float64(a.Density()), viscosity(T), conductivity(T)}
	d := float64(p.Diameter)
	inside := p.nusselt(p.at(fluid, q).Reynolds, fluid.prandtl())[side] * fluid.conductivity / d
	area := math.Pi * d * float64(p.Length)
	resistance := (1/inside + p.Wall*wallBounds[side] + 1/h) / area
	return 1 / (resistance * fluid.density * q * specificHeat)
}

// nusselt returns the part's Nusselt number with its bounds in ascending
// order.
//
// The analogy of friction and heat overstates a corrugated bore, whose
// friction is mostly form drag: a factor of 0.04 is taken for heat, a smooth
// bore's for the lower and 0.08 for the upper bound (no source).
func (p Part) nusselt(re, pr float64) [3]float64 {
	friction, _, _ := p.friction(re)
	low, high := friction, friction
	if p.Friction > 0 && re >= laminarEnd {
		low, high = math.Min(friction, frictionFactor(re, 0)), math.Min(friction, 0.08)
		friction = math.Min(friction, 0.04)
	}
	typical := nusselt(re, pr, friction)
	switch {
	case re < laminarEnd:
		return [3]float64{typical, typical, p.entryNusselt(re, pr)}
	case re < turbulentBegin: // either law may hold
		turbulent := (1 + turbulentHeat) * gnielinski(turbulentBegin, pr, high)
		return [3]float64{math.Min(3.66, typical), typical, math.Max(turbulent, p.entryNusselt(re, pr))}
	}
	return [3]float64{(1 - turbulentHeat) * nusselt(re, pr, low), typical, (1 + turbulentHeat) * nusselt(re, pr, high)}
}

// wallBounds multiply a wall's resistance: half as much again for the lower
// bound of the rise, half of it for the upper (handbooks differ by as much
// about rubber and foam).
var wallBounds = [3]float64{1.55, 1, 0.45}

// entryNusselt is Hausen's mean Nusselt number of laminar flow in a pipe so
// short that its temperature is still developing (Incropera and DeWitt,
// equation (8.57), from memory), its surplus raised by a fifth for a velocity
// that is developing, too (Sieder and Tate's law): the upper bound.
func (p Part) entryNusselt(re, pr float64) float64 {
	graetz := float64(p.Diameter/p.Length) * re * pr
	return 3.66 + 1.2*0.0668*graetz/(1+0.04*math.Pow(graetz, 2.0/3))
}

// turbulentHeat is by how much measured Nusselt numbers differ from
// Gnielinski's (Incropera and DeWitt, section 8.5; from memory).
const turbulentHeat = 0.10
