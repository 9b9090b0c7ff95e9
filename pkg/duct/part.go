package duct

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Kind says what a part is.
type Kind int

const (
	KindHose Kind = iota
	KindCorrugatedHose
	KindBend
	KindEntry
	KindFilter
	KindPlenum
	KindContraction
	KindOther
)

var kindNames = [...]string{"hose", "corrugated hose", "bend", "entry", "filter", "plenum", "contraction", "fitting"}

// String returns the kind's name.
func (k Kind) String() string {
	if k < 0 || int(k) >= len(kindNames) {
		return "unknown part"
	}
	return kindNames[k]
}

// Part is one piece of a duct. Make it with [Hose], [CorrugatedHose], [Bend],
// [Entry], [Filter], [Plenum], [Contraction] or [Fitting]; the fields can then
// be changed.
type Part struct {
	Name     string
	Kind     Kind
	Diameter quantity.Length // inside; of a corrugated hose the smallest
	// Length is along the axis, for friction and heat; zero for a fitting.
	Length quantity.Length
	// Roughness is that of the wall, used where Friction is zero.
	Roughness quantity.Length
	// Friction is a given Darcy friction factor, as for a corrugated bore, with
	// its range.
	Friction, FrictionLow, FrictionHigh float64
	// Loss is the loss coefficient K on the velocity in Diameter, beside
	// friction, with its range.
	Loss, LossLow, LossHigh float64
	// Drop at ReferenceFlow, with Exponent in between 1 (laminar) and 2 and its
	// range, is how a filter is given.
	Drop                                quantity.Pressure
	ReferenceFlow                       quantity.VolumeFlow
	Exponent, ExponentLow, ExponentHigh float64
	// Wall resists heat by thickness over conductivity, m²·K/W.
	Wall float64
	// InBay is true where hot bay air surrounds the part.
	InBay bool
	Note  string
}

// smoothHose is the roughness of drawn tube and rubber hose, from handbooks
// (0.0015 mm to 0.07 mm); friction changes by less than 10 % over it.
const smoothHose = 0.01 * quantity.Millimetre

// rubberWall is 4 mm of rubber at 0.16 W/(m·K).
const rubberWall = 0.004 / 0.16

// Hose returns a smooth-bored hose in the bay.
func Hose(diameter, length quantity.Length) Part {
	return Part{Name: "hose", Kind: KindHose, Diameter: diameter, Length: length, Roughness: smoothHose, Wall: rubberWall, InBay: true}
}

// CorrugatedHose returns a hose with a corrugated bore, stretched: Darcy
// friction factor 0.08, range 0.04 to 0.1 (from memory, for the mean-size
// annular corrugation; Hawthorne's rule for pitches of 6 mm to 12 mm in a bore
// of 76 mm gives 0.054 to 0.10, the roughness of stretched flexible ducts in
// ventilation 0.041 to 0.087). Compressed, such a hose costs four to ten times as
// much as stretched (Abushakra et al., LBNL; Weaver and Culp, abstracts): use
// Compressed.
func CorrugatedHose(diameter, length quantity.Length) Part {
	return Part{Name: "corrugated hose", Kind: KindCorrugatedHose, Diameter: diameter, Length: length,
		Friction: 0.08, FrictionLow: 0.04, FrictionHigh: 0.1, Wall: 0.001 / 0.16, InBay: true}
}

// Compressed returns a corrugated hose laid without stretching it: friction
// four times that of the stretched one, range two to ten times.
func Compressed(p Part) Part {
	p.Name = "compressed " + p.Name
	p.Friction, p.FrictionLow, p.FrictionHigh = 4*p.Friction, 2*p.FrictionLow, 10*p.FrictionHigh
	return p
}

// Bend returns a bend of a circular pipe through angle, 10° to 180°, with a
// centre-line radius of ratio diameters. Ratio 0 is a mitre. Its loss
// coefficient contains the friction of the bend.
//
//	K = f·α·r/D + (0.10 + 2.4 f)·sin(α/2) + 6.6 f·[√sin(α/2) + sin(α/2)]/(r/D)^(4α/π)
//	mitre: K = 0.42·sin(α/2) + 2.56·sin³(α/2)
//
// with f = 0.02. The bounds take in what other published laws give. In a
// corrugated hose a 90° bend costs about twice its straight length (abstracts
// as for [CorrugatedHose]); for such a bend use the hose's own length twice.
//
// Source: Rennels and Hudson, Pipe Flow (2012), ch. 15, as given in the
// documentation of the fluids library.
func Bend(diameter quantity.Length, angle quantity.Angle, ratio float64) Part {
	a := float64(angle)
	s := math.Sin(a / 2)
	k := 0.42*s + 2.56*s*s*s
	if ratio != 0 {
		const f = 0.02
		k = f*a*ratio + (0.10+2.4*f)*s + 6.6*f*(math.Sqrt(s)+s)/math.Pow(ratio, 4*a/math.Pi)
	}
	// Miller's, Ito's and Blevins' laws give less for slight bends, less for
	// sharp mitres.
	least := 0.8 - 0.6*math.Max(0, 1-2*a/math.Pi)
	if ratio == 0 {
		least = 0.75
	}
	p := Part{Name: fmt.Sprintf("bend %.0f°", angle.Degrees()), Kind: KindBend, Diameter: diameter,
		Loss: k, LossLow: least * k, LossHigh: 1.3 * k}
	if !(angle >= 10*quantity.Degree && angle <= 180*quantity.Degree) || !(ratio == 0 || ratio >= 0.5 && ratio <= 20) {
		p.Loss = math.NaN()
	}
	return p
}

// Entry returns the opening of the duct with an inner edge rounded to
// roundness diameters: 0 is a sharp edge (K 0.57), 0.25 nearly a trumpet.
//
//	K = 0.0696·(1 − 0.569 r/d)·λ² + (λ − 1)², λ = 1 + 0.622·(1 − 0.30·√(r/d) − 0.70 r/d)⁴
//
// Source: Rennels and Hudson, Pipe Flow (2012), ch. 9, as given in the
// documentation of the fluids library. Miller's and Idelchik's laws give less
// the rounder the edge is, a quarter at last, which the lower bound takes in. A
// pipe that stands free in the air costs more, up to 1.
func Entry(diameter quantity.Length, roundness float64) Part {
	x := roundness
	l := 1 + 0.622*math.Pow(1-0.30*math.Sqrt(x)-0.70*x, 4)
	k := 0.0696*(1-0.569*x)*l*l + (l-1)*(l-1)
	p := Part{Name: "entry", Kind: KindEntry, Diameter: diameter, Loss: k, LossLow: 0.8 / (1 + 12*x) * k, LossHigh: math.Max(1.3*k, k+0.05)}
	if !(x >= 0 && x <= 1) {
		p.Loss = math.NaN()
	}
	return p
}

// Filter returns an air filter by its measured pressure drop at a flow. At
// another flow the drop goes with a power of it, for which 1.5 is taken, range
// 1 (laminar through the medium, Darcy) to 2 (turbulent, Borda and Carnot):
// ventilation filters were measured at 1.18 (the mean of Li et al., Sep. Purif.
// Technol. 284 (2022) 120209, as the documentation of a library of building
// models quotes it); for an engine's filter with its box nothing was found. A
// dirty filter has two to four times the drop.
func Filter(flow quantity.VolumeFlow, drop quantity.Pressure) Part {
	return Part{Name: "filter", Kind: KindFilter, Drop: drop, ReferenceFlow: flow, Exponent: 1.5, ExponentLow: 1, ExponentHigh: 2}
}

// Snorkel returns the tube through which many older air cleaners breathe: a
// mouth with a bare edge (K 0.5 to 1), the tube and the speed lost in the box
// (K 0.8 to 1); friction as for [Hose]. Use it in what there is now, where it
// decides what a duct has to beat.
func Snorkel(diameter, length quantity.Length) Part {
	p := Hose(diameter, length)
	p.Name, p.Kind = "snorkel", KindOther
	p.Loss, p.LossLow, p.LossHigh = 1.7, 1.3, 2
	return p
}

// Plenum returns the opening of a pipe of the given diameter into a box, in
// which its velocity is lost: K = 1 (Borda and Carnot).
func Plenum(diameter quantity.Length) Part {
	return Part{Name: "plenum", Kind: KindPlenum, Diameter: diameter, Loss: 1, LossLow: 0.8, LossHigh: 1}
}

// Contraction returns a sudden narrowing from one diameter to a smaller one,
// sharp-edged, on the velocity in the smaller.
//
//	K = 0.0696·(1 − β⁵)·λ² + (λ − 1)², λ = 1 + 0.622·(1 − 0.215 β² − 0.785 β⁵), β = d/D
//
// Source: Rennels and Hudson, Pipe Flow (2012), ch. 10, as given in the
// documentation of the fluids library.
func Contraction(from, to quantity.Length) Part {
	b := float64(to / from)
	b5 := math.Pow(b, 5)
	l := 1 + 0.622*(1-0.215*b*b-0.785*b5)
	k := 0.0696*(1-b5)*l*l + (l-1)*(l-1)
	p := Part{Name: "contraction", Kind: KindContraction, Diameter: to, Loss: k, LossLow: 0.8 * k, LossHigh: 1.2 * k}
	if !(b > 0 && b <= 1) {
		p.Loss = math.NaN()
	}
	return p
}

// Expansion returns a sudden widening from one diameter to a larger one, on
// the velocity in the smaller: K = (1 − (d/D)²)², Borda and Carnot.
func Expansion(from, to quantity.Length) Part {
	b := float64(from / to)
	k := (1 - b*b) * (1 - b*b)
	p := Part{Name: "expansion", Kind: KindOther, Diameter: from, Loss: k, LossLow: 0.8 * k, LossHigh: 1.2 * k}
	if !(b > 0 && b <= 1) {
		p.Loss = math.NaN()
	}
	return p
}

// Fitting returns anything else by its loss coefficient, known to ± 20 %.
func Fitting(name string, diameter quantity.Length, k float64) Part {
	return Part{Name: name, Kind: KindOther, Diameter: diameter, Loss: k, LossLow: 0.8 * k, LossHigh: 1.2 * k}
}

// Insulated returns the part wrapped in foam or felt of the given thickness,
// at 0.04 W/(m·K).
func Insulated(p Part, thickness quantity.Length) Part {
	p.Name = "insulated " + p.Name
	p.Wall += float64(thickness) / 0.04
	return p
}

// check names what is wrong with a part.
func (p Part) check(i int) error {
	where := fmt.Sprintf("part %d (%s)", i+1, p.Name)
	mm := quantity.KindLength.Unit("mm")
	switch {
	case p.Kind == KindFilter && p.ReferenceFlow > 0:
		return p.checkFilter(where)
	case p.hasDrop():
		return rangeError(where, "pressure drop of what is no filter", float64(p.Drop), 0, 0, quantity.KindPressure.SI(), "drop and exponents belong to a filter, with a reference flow above 0")
	case !(p.Diameter.Millimetres() >= 10 && p.Diameter.Millimetres() <= 300):
		hint := ""
		if p.Diameter >= 10 && p.Diameter <= 300 {
			hint = fmt.Sprintf("did you mean %g mm?", float64(p.Diameter))
		}
		return rangeError(where, "diameter", float64(p.Diameter), 0.010, 0.300, mm, hint)
	case !(p.Length >= 0 && p.Length <= 10):
		return rangeError(where, "length", float64(p.Length), 0, 10, quantity.KindLength.SI(), "")
	case !(p.Roughness >= 0 && p.Roughness <= 0.05*p.Diameter):
		return rangeError(where, "roughness", float64(p.Roughness), 0, 0.05*float64(p.Diameter), mm, "a corrugated bore is given by Friction")
	case !(p.Friction >= 0 && p.Friction <= 2):
		return rangeError(where, "friction factor", p.Friction, 0, 2, plain, "")
	case !(p.Loss >= 0 && p.Loss <= 50):
		return rangeError(where, "loss coefficient", p.Loss, 0, 50, plain, "an angle, radius or diameter of the part is out of range")
	case !(p.Wall >= 0 && p.Wall <= 10):
		return rangeError(where, "wall resistance", p.Wall, 0, 10, quantity.KindThermalInsulance.SI(), "")
	}
	return p.checkBounds(where)
}

// hasDrop reports whether a number is given that only a filter has.
func (p Part) hasDrop() bool {
	return p.Drop != 0 || p.ReferenceFlow != 0 || p.Exponent != 0 || p.ExponentLow != 0 || p.ExponentHigh != 0
}

// checkBounds names a bound that lies on the wrong side.
func (p Part) checkBounds(where string) error {
	if !ascending(p.FrictionLow, p.Friction, p.FrictionHigh, 20) {
		return rangeError(where, fmt.Sprintf("friction factor, %g to %g,", p.FrictionLow, p.FrictionHigh), p.Friction, 0, 20, plain, bounds)
	}
	if !ascending(p.LossLow, p.Loss, p.LossHigh, 500) {
		return rangeError(where, fmt.Sprintf("loss coefficient, %g to %g,", p.LossLow, p.LossHigh), p.Loss, 0, 500, plain, bounds)
	}
	return nil
}

const bounds = "its bounds on both sides of it, or zero for none"

// ascending reports whether bounds, of which zero is none, lie on both sides
// of a value.
func ascending(low, x, high, most float64) bool {
	return low >= 0 && orElse(low, x) <= x && orElse(high, x) >= x && high <= most
}

// checkFilter names what is wrong with a filter that is given by its drop.
func (p Part) checkFilter(where string) error {
	if pipe := (Part{Name: p.Name, Kind: p.Kind, Drop: p.Drop, ReferenceFlow: p.ReferenceFlow, Exponent: p.Exponent, ExponentLow: p.ExponentLow, ExponentHigh: p.ExponentHigh}); p != pipe {
		return rangeError(where, "diameter of a filter that is given by its drop", float64(p.Diameter), 0, 0, quantity.KindLength.Unit("mm"), "dimensions, friction, loss and wall belong to other parts")
	}
	if !(p.Drop >= 0 && p.Drop <= 20e3) {
		return rangeError(where, "pressure drop", float64(p.Drop), 0, 20e3, quantity.KindPressure.SI(), "")
	}
	if !(p.ReferenceFlow <= 1) {
		return rangeError(where, "reference flow", float64(p.ReferenceFlow), 0, 1, quantity.KindVolumeFlow.SI(), "litres per second are quantity.LitrePerSecond")
	}
	if low, high := orElse(p.ExponentLow, p.Exponent), orElse(p.ExponentHigh, p.Exponent); !(low >= 1 && low <= p.Exponent && p.Exponent <= high && high <= 2) {
		return rangeError(where, fmt.Sprintf("exponent, %g to %g,", low, high), p.Exponent, 1, 2, plain, bounds)
	}
	return nil
}
