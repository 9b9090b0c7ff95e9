package engine

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine/internal/curves"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// AirDemand returns the mean volume flow that a four-stroke engine draws, at
// the density of the air at its intake.
//
//	V̇ = V_d·n/2·η_v
//
// n is the crankshaft's speed, ve the volumetric efficiency referred to intake
// density (not to the manifold's). Valid for 0 < n ≤ 14000 rpm and
// 0 < ve ≤ 1.3 and displacements of 49 cm³ to 20 000 cm³; otherwise NaN and an
// error that wraps [ErrOutOfRange], or [ErrMissing] without a displacement.
//
// Source: definition of volumetric efficiency, Heywood, Internal Combustion
// Engine Fundamentals (1988), equation (2.27).
func (d Description) AirDemand(n quantity.RotationalSpeed, ve float64) (quantity.VolumeFlow, error) {
	nan := quantity.VolumeFlow(math.NaN())
	if err := d.checkDisplacement("AirDemand"); err != nil {
		return nan, err
	}
	if err := checkSpeed("AirDemand", n); err != nil {
		return nan, err
	}
	if !(ve > 0 && ve <= 1.3) {
		hint := ""
		if ve > 1.3 && ve <= 130 {
			hint = fmt.Sprintf("did you mean %g %%, %g?", ve, ve/100)
		}
		return nan, rangeError("AirDemand", "volumetric efficiency", ve, 0, 1.3, plain, hint)
	}
	return quantity.VolumeFlow(float64(d.Displacement) * float64(n) / 2 * ve), nil
}

// AirMassDemand returns the mean mass flow of moist air that the engine draws
// from air a. Range and errors as for [Description.AirDemand] and
// [air.State.Check].
func (d Description) AirMassDemand(n quantity.RotationalSpeed, ve float64, a air.State) (quantity.MassFlow, error) {
	nan := quantity.MassFlow(math.NaN())
	if err := a.Check(); err != nil {
		return nan, fmt.Errorf("engine.AirMassDemand: %w", err)
	}
	q, err := d.AirDemand(n, ve)
	if err != nil {
		return nan, err
	}
	return quantity.MassFlow(float64(q) * float64(a.Density())), nil
}

// checkDisplacement refuses an engine without a displacement and one that no
// road car's engine has.
func (d Description) checkDisplacement(function string) error {
	const low, high = 49 * quantity.CubicCentimetre, 20000 * quantity.CubicCentimetre
	switch {
	case d.Displacement == 0:
		return fmt.Errorf("engine.%s: displacement: %w", function, ErrMissing)
	case !(d.Displacement >= low*(1-1e-9) && d.Displacement <= high*(1+1e-9)):
		return rangeError(function, "displacement", float64(d.Displacement), float64(low), float64(high), quantity.KindVolume.Unit("cm³"), "")
	}
	return nil
}

func checkSpeed(function string, n quantity.RotationalSpeed) error {
	const highest = 14000 * quantity.RevolutionPerMinute
	if n > 0 && n <= highest {
		return nil
	}
	hint := ""
	if x := float64(n); n > highest && x <= 14000 {
		hint = fmt.Sprintf("did you mean %g rpm (%g*quantity.RevolutionPerMinute)?", x, x)
	}
	return rangeError(function, "engine speed", float64(n), 0, float64(highest), quantity.KindRotationalSpeed.Shown(), hint)
}

// VolumetricEfficiency is the full-throttle volumetric efficiency, referred to
// intake density, over engine speed: straight lines between points, constant
// beyond the first and last.
type VolumetricEfficiency struct {
	Speed []quantity.RotationalSpeed // ascending
	Value []float64                  // as many as Speed
	// Assumed says where the curve comes from if it was not measured.
	Assumed string
}

// AssumedEfficiencyUncertainty is by how much the true volumetric efficiency
// may differ from the assumed one, either way (common practice; what others
// measured and print lies within).
const AssumedEfficiencyUncertainty = 0.07

// AssumedVolumetricEfficiency returns a curve for an engine of which only the
// rated points are known: 0.85 at the speed of greatest torque, 0.75 at that of
// greatest power, 0.70 at 1000 rpm. Common practice for two-valve engines with
// carburettors, no source; expect ± [AssumedEfficiencyUncertainty]. It fails,
// wrapping [ErrMissing], without both rated speeds.
func AssumedVolumetricEfficiency(d Description) (VolumetricEfficiency, error) {
	if !(d.RatedTorqueSpeed > 0 && d.RatedPowerSpeed > d.RatedTorqueSpeed) {
		return VolumetricEfficiency{}, fmt.Errorf("engine.AssumedVolumetricEfficiency: rated torque speed and rated power speed: %w", ErrMissing)
	}
	v := VolumetricEfficiency{Assumed: "assumed from the rated speeds, ±0.07; common practice, no source"}
	const slow = 1000 * quantity.RevolutionPerMinute
	if d.RatedTorqueSpeed > slow {
		v.Speed, v.Value = append(v.Speed, slow), append(v.Value, 0.70)
	}
	v.Speed = append(v.Speed, d.RatedTorqueSpeed, d.RatedPowerSpeed)
	v.Value = append(v.Value, 0.85, 0.75)
	if d.Redline > d.RatedPowerSpeed {
		v.Speed = append(v.Speed, d.Redline)
		v.Value = append(v.Value, 0.75*float64(d.RatedPowerSpeed/d.Redline))
	}
	return v, nil
}

// At returns the volumetric efficiency at engine speed n. It fails if speeds
// and values are not as many, and, wrapping [ErrOutOfRange], if the speeds do
// not ascend, a value is not in 0 to 1.3, or n is not in 0 to 14000 rpm.
func (v VolumetricEfficiency) At(n quantity.RotationalSpeed) (float64, error) {
	if err := v.check(); err != nil {
		return math.NaN(), err
	}
	if err := checkSpeed("VolumetricEfficiency.At", n); err != nil {
		return math.NaN(), err
	}
	return curves.Straight(v.Speed, v.Value, n), nil
}

func (v VolumetricEfficiency) check() error {
	if len(v.Speed) == 0 || len(v.Speed) != len(v.Value) {
		return fmt.Errorf("engine.VolumetricEfficiency: %d speeds and %d values: want as many, at least one", len(v.Speed), len(v.Value))
	}
	for i, x := range v.Value {
		if !(x > 0 && x <= 1.3) {
			return rangeError("VolumetricEfficiency", fmt.Sprintf("value number %d,", i+1), x, 0, 1.3, plain, "")
		}
		least := quantity.RotationalSpeed(0)
		if i > 0 {
			least = v.Speed[i-1]
		}
		if n := v.Speed[i]; !(n >= least) || i > 0 && n == least || math.IsInf(float64(n), 1) {
			return rangeError("VolumetricEfficiency", fmt.Sprintf("speed number %d,", i+1), float64(n), float64(least), math.Inf(1), quantity.KindRotationalSpeed.Shown(), "speeds must ascend")
		}
	}
	return nil
}
