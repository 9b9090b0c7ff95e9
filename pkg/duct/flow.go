package duct

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Duct is a list of parts in the order in which the air meets them.
type Duct struct {
	Name  string
	Parts []Part
}

// Check returns an error that says what is wrong with the first bad part; nil
// if none is. A value outside its range gives one that wraps [ErrOutOfRange].
func (d Duct) Check() error {
	for i, p := range d.Parts {
		if err := p.check(i); err != nil {
			return err
		}
	}
	return nil
}

// PartFlow is what one part does at one steady flow.
type PartFlow struct {
	Name     string
	Velocity quantity.Speed
	Reynolds float64
	// Loss is the drop of total pressure, bounded by the ranges of friction
	// factor (± 15 % where turbulent), loss coefficient and filter exponent.
	Loss estimate.Estimate
}

// Flow is what a duct does at one steady flow.
type Flow struct {
	Demand   quantity.VolumeFlow
	Parts    []PartFlow
	Loss     estimate.Estimate // of total pressure, the sum over the parts
	Warnings []estimate.Warning
}

// Flow returns the loss of total pressure at a steady volume flow of air a,
// counted at that air's density.
//
//	Δp = (f·L/D + K)·½·ρ·v²
//
// f is given or by [FrictionFactor]. Valid up to a velocity of 100 m/s
// (incompressible within 5 %); above, NaN and an error that wraps
// [ErrOutOfRange].
//
// Source: Darcy and Weisbach; sum over parts without interference of fittings
// that follow each other closely.
func (d Duct) Flow(a air.State, q quantity.VolumeFlow) (Flow, error) {
	r := Flow{Demand: q, Loss: estimate.Unknown("pressure loss", pascal, "an input is not valid")}
	if err := a.Check(); err != nil {
		return r, fmt.Errorf("duct.Flow: %w", err)
	}
	if err := d.Check(); err != nil {
		return r, err
	}
	if !(q >= 0 && q <= 1) {
		return r, rangeError("Flow", "volume flow", float64(q), 0, 1, quantity.KindVolumeFlow.SI(), "litres per second are quantity.LitrePerSecond")
	}
	fluid := properties{float64(a.Density()), viscosity(a.Temperature.Kelvin()), conductivity(a.Temperature.Kelvin())}
	var sum, low, high float64
	for i, p := range d.Parts {
		f := p.at(fluid, float64(q))
		if f.Velocity > 100 {
			return r, rangeError("Flow", fmt.Sprintf("velocity in part %d (%s)", i+1, p.Name), float64(f.Velocity), 0, 100, quantity.KindSpeed.SI(), "the duct is too narrow for this flow")
		}
		r.Parts = append(r.Parts, f)
		sum, low, high = sum+f.Loss.Value, low+f.Loss.Interval.Low, high+f.Loss.Interval.High
		if p.Length > 0 && f.Reynolds > laminarEnd && f.Reynolds < turbulentBegin {
			r.Warnings = append(r.Warnings, estimate.Warning{Kind: estimate.Ambiguous, Subject: p.Name, Text: fmt.Sprintf("Reynolds number %.0f is between laminar and turbulent; the bounds hold both", f.Reynolds)})
		}
	}
	r.Loss = pressureLoss(sum, low, high)
	return r, nil
}

var pascal = quantity.KindPressure.SI()

// pressureLoss returns a loss in Pa between its bounds.
func pressureLoss(typical, low, high float64) estimate.Estimate {
	return estimate.Within("pressure loss", typical, pascal, low, high)
}

// at returns the part's flow at q m³/s.
func (p Part) at(fluid properties, q float64) PartFlow {
	r := PartFlow{Name: p.Name, Loss: pressureLoss(0, 0, 0)}
	if p.Kind == KindFilter && p.ReferenceFlow > 0 {
		drop := func(exponent float64) float64 {
			return float64(p.Drop) * math.Pow(q/float64(p.ReferenceFlow), exponent)
		}
		r.Loss = pressureLoss(drop(p.Exponent), drop(orElse(p.ExponentLow, p.Exponent)), drop(orElse(p.ExponentHigh, p.Exponent)))
		return r
	}
	d := float64(p.Diameter)
	v := q / (math.Pi / 4 * d * d)
	r.Velocity = quantity.Speed(v)
	r.Reynolds = fluid.density * v * d / fluid.viscosity
	if v == 0 {
		return r
	}
	f, lo, hi := p.friction(r.Reynolds)
	dynamic := 0.5 * fluid.density * v * v
	ratio := float64(p.Length) / d
	r.Loss = pressureLoss((f*ratio+p.Loss)*dynamic, (lo*ratio+orElse(p.LossLow, p.Loss))*dynamic, (hi*ratio+orElse(p.LossHigh, p.Loss))*dynamic)
	return r
}

// friction returns the Darcy factor with its range.
func (p Part) friction(re float64) (f, low, high float64) {
	if p.Friction > 0 {
		// A corrugated bore is laminar too when the flow is slow enough.
		laminar := 64 / re
		return max(p.Friction, laminar), max(orElse(p.FrictionLow, p.Friction), laminar), max(orElse(p.FrictionHigh, p.Friction), laminar)
	}
	roughness := float64(p.Roughness / p.Diameter)
	f = frictionFactor(re, roughness)
	switch {
	case re < laminarEnd:
		return f, f, f
	case re < turbulentBegin: // either law may hold
		return f, 64 / re, (1 + turbulentFriction) * colebrook(turbulentBegin, roughness)
	}
	return f, (1 - turbulentFriction) * f, (1 + turbulentFriction) * f
}

// turbulentFriction is by how much measured friction factors differ from
// Colebrook's (White, Fluid Mechanics, on the Moody chart; from memory).
const turbulentFriction = 0.15

func orElse(x, fallback float64) float64 {
	if x == 0 {
		return fallback
	}
	return x
}

// String returns the losses of the parts and their sum.
func (f Flow) String() string {
	var b strings.Builder
	for _, p := range f.Parts {
		fmt.Fprintf(&b, "%-28s %6.1f m/s  Re %8.0f  %7.0f Pa (%.0f to %.0f)\n", p.Name, float64(p.Velocity), p.Reynolds, p.Loss.Value, p.Loss.Interval.Low, p.Loss.Interval.High)
	}
	fmt.Fprintf(&b, "%v: %.0f Pa (%.0f to %.0f)", f.Demand, f.Loss.Value, f.Loss.Interval.Low, f.Loss.Interval.High)
	for _, w := range f.Warnings {
		b.WriteString("\n- " + w.String())
	}
	return b.String()
}

// RamPressure returns the pressure that an opening facing the air stream gains
// at road speed v with a recovery between 0 (behind the grille, in the
// boundary layer) and 1 (a clean forward-facing mouth): recovery·½·ρ·v². At
// 100 km/h the whole is 0.46 kPa. Headwind counts, the fan does not.
//
// It fails for air that can't be, speeds above 70 m/s and
// recoveries outside 0 to 1.
func RamPressure(a air.State, v quantity.Speed, recovery float64) (quantity.Pressure, error) {
	nan := quantity.Pressure(math.NaN())
	switch {
	case a.Check() != nil:
		return nan, fmt.Errorf("duct.RamPressure: %w", a.Check())
	case !(v >= 0 && v <= 70):
		return nan, rangeError("RamPressure", "road speed", float64(v), 0, 70, quantity.KindSpeed.SI(), "km/h are quantity.KilometrePerHour")
	case !(recovery >= 0 && recovery <= 1):
		return nan, rangeError("RamPressure", "recovery", recovery, 0, 1, plain, "")
	}
	return quantity.Pressure(recovery * 0.5 * float64(a.Density()) * float64(v) * float64(v)), nil
}
