package engine

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Description is what is known about an engine. A zero value is one that is
// not known; functions that need it say so with [ErrMissing].
type Description struct {
	Name         string
	Displacement quantity.Volume
	Cylinders    int
	// Bore and Stroke, with Cylinders, must give the displacement.
	Bore, Stroke     quantity.Length
	CompressionRatio float64
	// Rated power and torque at the crankshaft, each with its speed.
	RatedPower       quantity.Power
	RatedPowerSpeed  quantity.RotationalSpeed
	RatedTorque      quantity.Torque
	RatedTorqueSpeed quantity.RotationalSpeed
	Redline          quantity.RotationalSpeed
	Carburettor      Carburettor
	// Carburettors is their number.
	Carburettors int
	// Lambda is where the mixture stood at full throttle, as measured before the
	// change; the zero value is unknown.
	Lambda   LambdaRange
	Ignition string // free text
	// Thermostat is the temperature stamped on it; the zero value is unknown.
	Thermostat quantity.Temperature
}

// Carburettor is how the mixture is made: the kind of carburettor, or injection.
type Carburettor int

const (
	UnknownCarburettor Carburettor = iota
	// FixedJet has a fixed venturi and jets.
	FixedJet
	// ConstantDepression has a piston that keeps the depression over the jet
	// constant, and a needle.
	ConstantDepression
	// Injection meters fuel by a measurement of the air.
	Injection
)

// String returns the name as it is written in a campaign file.
func (c Carburettor) String() string {
	switch c {
	case FixedJet:
		return "fixed-jet"
	case ConstantDepression:
		return "constant-depression"
	case Injection:
		return "injection"
	}
	return "unknown"
}

// ParseCarburettor is the inverse of [Carburettor.String].
//
// Any other word is an error that names the three.
func ParseCarburettor(text string) (Carburettor, error) {
	switch strings.ReplaceAll(strings.ToLower(strings.TrimSpace(text)), " ", "-") {
	case "", "unknown":
		return UnknownCarburettor, nil
	case "fixed-jet":
		return FixedJet, nil
	case "constant-depression":
		return ConstantDepression, nil
	case "injection":
		return Injection, nil
	}
	return UnknownCarburettor, fmt.Errorf("carburettor %q: want \"fixed-jet\", \"constant-depression\" or \"injection\"", text)
}

// Check returns nil if every value that is given makes sense by itself and
// together with the others, or all problems joined. Displacement is needed
// always; without it the error wraps [ErrMissing]. A value out of its range
// gives one that wraps [ErrOutOfRange].
func (d Description) Check() error {
	var problems []error
	// low and high are in the unit, x is in SI.
	within := func(what string, x, low, high float64, unit quantity.Unit) {
		if shown := unit.FromSI(x); x != 0 && !(shown >= low && shown <= high) {
			problems = append(problems, quantity.OutOfRange("engine", what, x, unit.ToSI(low), unit.ToSI(high), unit, ""))
		}
	}
	mm, rpm := quantity.KindLength.Unit("mm"), quantity.KindRotationalSpeed.Unit("rpm")
	if d.Displacement == 0 {
		problems = append(problems, fmt.Errorf("engine: displacement: %w", ErrMissing))
	}
	within("displacement", float64(d.Displacement), 49, 20000, quantity.KindVolume.Unit("cm³"))
	within("cylinders", float64(d.Cylinders), 1, 16, plain)
	within("bore", float64(d.Bore), 30, 200, mm)
	within("stroke", float64(d.Stroke), 30, 250, mm)
	within("compression ratio", d.CompressionRatio, 4, 14, plain)
	within("rated power", float64(d.RatedPower), 1, 1000, quantity.KindPower.Unit("kW"))
	within("rated torque", float64(d.RatedTorque), 5, 2000, quantity.KindTorque.SI())
	within("rated power speed", float64(d.RatedPowerSpeed), 1000, 12000, rpm)
	within("rated torque speed", float64(d.RatedTorqueSpeed), 500, 10000, rpm)
	within("redline", float64(d.Redline), 1500, 14000, rpm)
	within("carburettors", float64(d.Carburettors), 0, 12, plain)
	if d.Lambda != (LambdaRange{}) {
		if err := d.Lambda.check("Description.Check"); err != nil {
			problems = append(problems, err)
		}
	}
	within("thermostat", d.Thermostat.Kelvin(), 60, 110, quantity.KindTemperature.Shown())
	problems = append(problems, d.contradictions()...)
	return errors.Join(problems...)
}

// contradictions names values that make sense alone and not together.
func (d Description) contradictions() (problems []error) {
	add := func(format string, args ...any) { problems = append(problems, fmt.Errorf("engine: "+format, args...)) }
	if d.Bore > 0 && d.Stroke > 0 && d.Cylinders > 0 && d.Displacement > 0 {
		swept := float64(d.Cylinders) * math.Pi / 4 * float64(d.Bore*d.Bore*d.Stroke)
		if ratio := swept / float64(d.Displacement); math.Abs(ratio-1) > 0.02 {
			add("bore, stroke and cylinders give %.0f cm³, but displacement is %.0f cm³; one of the four is wrong", quantity.Volume(swept).CubicCentimetres(), d.Displacement.CubicCentimetres())
		}
	}
	if d.RatedPower > 0 && d.RatedPowerSpeed > 0 && d.RatedTorque > 0 {
		if t := torqueOf(d.RatedPower, d.RatedPowerSpeed); t > d.RatedTorque*1.005 {
			add("rated power %v at %v means a torque of %v there, more than the rated (greatest) torque of %v", d.RatedPower, d.RatedPowerSpeed, t, d.RatedTorque)
		}
	}
	if d.RatedPowerSpeed > 0 && d.RatedTorqueSpeed > 0 && d.RatedTorqueSpeed >= d.RatedPowerSpeed {
		add("greatest torque at %v is not below the speed of greatest power, %v; are the two swapped?", d.RatedTorqueSpeed, d.RatedPowerSpeed)
	}
	if d.Redline > 0 && d.RatedPowerSpeed > d.Redline {
		add("rated power at %v lies above the redline, %v", d.RatedPowerSpeed, d.Redline)
	}
	return problems
}

// torqueOf returns the torque that is the power at a speed: T = P/(2π·n).
func torqueOf(p quantity.Power, n quantity.RotationalSpeed) quantity.Torque {
	return quantity.Torque(float64(p) / (2 * math.Pi * float64(n)))
}

// powerOf returns the power of a torque at a speed.
func powerOf(t quantity.Torque, n quantity.RotationalSpeed) quantity.Power {
	return quantity.Power(2 * math.Pi * float64(n) * float64(t))
}

// MeanEffectivePressure returns the brake mean effective pressure of a
// four-stroke engine at torque t: 4π·T/V_d. It fails, wrapping [ErrMissing],
// without a displacement, and wrapping [ErrOutOfRange] for a displacement
// outside 49 cm³ to 20 000 cm³ or a torque beyond 5000 N·m.
func (d Description) MeanEffectivePressure(t quantity.Torque) (quantity.Pressure, error) {
	if err := d.checkDisplacement("MeanEffectivePressure"); err != nil {
		return quantity.Pressure(math.NaN()), err
	}
	if x := float64(t); !(math.Abs(x) <= 5000) {
		return quantity.Pressure(math.NaN()), rangeError("MeanEffectivePressure", "torque", x, -5000, 5000, quantity.KindTorque.SI(), "")
	}
	return quantity.Pressure(4 * math.Pi * float64(t) / float64(d.Displacement)), nil
}
