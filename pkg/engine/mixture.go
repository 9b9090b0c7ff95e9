package engine

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine/internal/tuning"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/fuel"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// BowlVent is where the float bowl takes its air pressure from.
type BowlVent int

const (
	UnknownVent   BowlVent = iota
	VentToMouth            // from the carburettor's mouth, behind duct and filter
	VentToOutside          // from the bay: a duct's depression acts as a fuel signal
)

// String returns the place.
func (v BowlVent) String() string {
	switch v {
	case VentToMouth:
		return "vented to the carburettor's mouth"
	case VentToOutside:
		return "vented to the outside"
	}
	return "vent not known"
}

// Metering is how an engine meters its fuel and what changes there beside the
// air. The zero value is a carburettor of which nothing is known, on one fuel.
type Metering struct {
	Kind Carburettor
	// Fuel before and after.
	FuelBefore, FuelAfter fuel.Blend
	// BowlBefore and BowlAfter are the fuel's temperatures in the float bowl;
	// with one of them not set the bowl follows the intake air somewhere
	// between wholly and not at all.
	BowlBefore, BowlAfter quantity.Temperature
	// LossBefore and LossAfter are what mouth, filter and duct take off the
	// pressure on the way to the carburettor at full throttle, Pa.
	LossBefore, LossAfter quantity.Pressure
	Vent                  BowlVent
	// NoAirCorrection says that no air-correction jet bleeds air into the main
	// jet's fuel; a carburettor with fixed jets is taken to have one.
	NoAirCorrection bool
}

// Depression over the jet at full throttle that a duct's depression adds to
// where the bowl is vented to the outside. Common practice, no source.
const leastSignal, mostSignal = 1.5e3, 10e3 // Pa

// emulsion is the most that an air-correction jet takes off the exponent: with
// an emulsion tube fuel goes by ρ^(1/2 + δ), δ = ¼·(1 − x)·φ/(1 + φ), x the
// part of the signal that falls off at the main jet and φ the bled air's volume
// over the fuel's. Denser air makes smaller bubbles, which resist less. With x
// of one half at least it is below an eighth. Worked out from the equations of
// three orifices and a homogeneous mixture; no source.
const emulsion = 0.125

const mostLoss = 20e3 // Pa

// MixtureShift is what a change of intake air does to the air–fuel ratio of a
// carburettor whose setting stays.
type MixtureShift struct {
	Carburettor Carburettor
	From, To    air.State
	// Ratio is the air that there is over the air that the fuel needs, after
	// over before: above 1 for leaner. With one fuel it is the ratio of the
	// air–fuel ratios. The air is counted dry: vapour carries no oxygen.
	Ratio float64
	// Low and High bound it over what is not known, see Parts; what the law of the
	// air itself may be off is left to [Charge.Power].
	Low, High float64
	// Change is Ratio − 1 with the same bounds.
	Change estimate.Estimate
	// Parts multiply to the shift; the air's own comes first.
	Parts []MixturePart
	// KelvinPerPercent is the change of intake temperature that shifts the
	// ratio by 1 % at the first state, about 6 K.
	KelvinPerPercent quantity.TemperatureDifference
	// Meaning is one sentence for the person who tunes.
	Meaning  string
	Check    []string
	Cautions []string
}

// MixturePart is one cause's factor of a shift, between bounds.
type MixturePart struct {
	Name      string
	Low, High float64
}

// ShiftOfMixture returns the shift of the air–fuel ratio when the intake air
// changes and nothing is adjusted: [Metering.Shift] of a carburettor of which
// only the kind is known.
//
// Invalid states give NaN and an error that wraps [air.ErrOutOfRange].
func ShiftOfMixture(kind Carburettor, from, to air.State) (MixtureShift, error) {
	return Metering{Kind: kind}.Shift(from, to)
}

// Shift returns the shift of the mixture when the intake air changes and
// nothing is adjusted.
//
//	λ_to/λ_from = (ρ_d,to/ρ_d,from)/√(ρ_to/ρ_from) × parts
//
// with ρ the density of the moist air, which makes the signal, and ρ_d =
// (p − e)/(R_d·T) that of the dry air in it, which carries the oxygen: vapour
// displaces air. For the same share of vapour it is √(ρ_to/ρ_from).
//
// A fixed venturi draws fuel by the signal ρ·V̇²/A²: fuel follows √ρ, dry air
// follows ρ_d at the same volume flow. A constant-depression carburettor holds
// the signal and lets the piston rise with V̇·√ρ: with a needle cut for one
// ratio, fuel follows the lift and so √ρ again. An unknown kind is taken as
// either. The other parts:
//
//   - an air-correction jet takes up to a quarter off the shift of fixed jets;
//   - the fuel's own density rises by about 0.1 % per kelvin colder bowl, which
//     enriches by half of that;
//   - what the duct takes off the pressure thins the air; on a bowl that is
//     vented to the outside it is an extra fuel signal besides;
//   - ethanol needs less air: the same jets, or times of injection, run leaner.
//
// An injection that measures the air's mass, or its temperature beside its
// volume or pressure, holds the ratio; one that measures the dynamic pressure of
// the air alone shifts as a carburettor does. Which of them it is is not known
// here, so the span reaches from one to the other (common practice, no source).
//
// It fails, wrapping [air.ErrOutOfRange], for invalid states, and wrapping
// [ErrOutOfRange] for a share of ethanol outside 0 to 1, a bowl outside −40 °C to
// 120 °C and a loss outside 0 to 20 kPa.
//
// Source: the flow equations of the elementary carburettor, Heywood, Internal
// Combustion Engine Fundamentals (1988), ch. 7, from memory; the density error
// of carburettors is the subject of NACA TN-1874 (1949).
func (g Metering) Shift(from, to air.State) (MixtureShift, error) {
	nan := math.NaN()
	m := MixtureShift{Carburettor: g.Kind, From: from, To: to, Ratio: nan, Low: nan, High: nan}
	m.Change = estimate.Unknown("change of the air–fuel ratio", quantity.KindShare.Shown(), "the state of the air is not valid")
	if err := g.check(); err != nil {
		return m, err
	}
	var err error
	if m.From, err = g.mouth(from, g.LossBefore); err != nil {
		return m, err
	}
	if m.To, err = g.mouth(to, g.LossAfter); err != nil {
		return m, err
	}
	all := shifting{g, charge(m.From), charge(m.To)}
	m.Ratio, m.Parts = all.middle(), all.parts()
	low, high := span(all.at)
	m.bound(low, high)
	m.KelvinPerPercent = quantity.KelvinDifference(0.02 * from.Temperature.Kelvin())
	m.Meaning, m.Check, m.Cautions = tuning.Shift{Percent: 100 * (m.Ratio - 1), Injection: g.Kind == Injection, Piston: g.Kind == ConstantDepression, Jets: g.Kind == FixedJet}.Say()
	return m, nil
}

// Stated says in words what is known of the fuel beside what it was assumed to be;
// empty where nothing is.
func (g Metering) Stated() string {
	var known []string
	if g.FuelBefore != g.FuelAfter || g.FuelBefore.Unsure > 0 {
		known = append(known, fmt.Sprintf("ethanol in the fuel, %v before and %v after", g.FuelBefore, g.FuelAfter))
	}
	if g.BowlBefore.IsValid() && g.BowlAfter.IsValid() && g.Kind != Injection {
		known = append(known, "the float bowl's temperatures")
	}
	return strings.Join(known, ", and ")
}

func (g Metering) check() error {
	const function = "Metering.Shift"
	for _, f := range []fuel.Blend{g.FuelBefore, g.FuelAfter} {
		if err := f.Check(); err != nil {
			return fmt.Errorf("engine.%s: %w", function, err)
		}
	}
	low, high := quantity.Celsius(-40), quantity.Celsius(120)
	for _, t := range []quantity.Temperature{g.BowlBefore, g.BowlAfter} {
		if t != (quantity.Temperature{}) && !(t.IsValid() && t.Compare(low) >= 0 && t.Compare(high) <= 0) {
			return rangeError(function, "temperature of the float bowl", t.Kelvin(), low.Kelvin(), high.Kelvin(), quantity.KindTemperature.Shown(), "")
		}
	}
	for _, p := range []quantity.Pressure{g.LossBefore, g.LossAfter} {
		if !(p >= 0 && p <= mostLoss) {
			return rangeError(function, "loss of pressure before the carburettor", float64(p), 0, mostLoss, quantity.KindPressure.Shown(), "")
		}
	}
	return nil
}

// mouth returns the air at the carburettor's mouth.
func (g Metering) mouth(s air.State, loss quantity.Pressure) (air.State, error) {
	if err := s.Check(); err != nil {
		return s, fmt.Errorf("engine.Metering.Shift: %w", err)
	}
	if loss == 0 {
		return s, nil
	}
	at, err := s.AtPressure(s.Pressure - loss)
	if err != nil {
		return at, fmt.Errorf("engine.Metering.Shift, at the carburettor's mouth: %w", err)
	}
	return at, nil
}

// bound sets the bounds, those of the change with them.
func (m *MixtureShift) bound(low, high float64) {
	m.Low, m.High = low, high
	m.Change = estimate.Within(m.Change.Name, m.Ratio-1, quantity.KindShare.Shown(), m.Low-1, m.High-1)
}

// String returns the shift, its span and its meaning.
func (m MixtureShift) String() string { return m.In(quantity.Preferred{}) }

// In returns the same in the given units.
func (m MixtureShift) In(units quantity.Preferred) string {
	if math.IsNaN(m.Ratio) {
		return "air–fuel ratio: its shift is not known"
	}
	return fmt.Sprintf("air–fuel ratio × %.3f (%.3f to %.3f): %s; 1 %% per %s (%v)", m.Ratio, m.Low, m.High, m.Meaning,
		units.Say(quantity.KindTemperatureDifference, "%.1f", m.KelvinPerPercent.Kelvins()), preparation(m.Carburettor))
}

func preparation(c Carburettor) string {
	if c == Injection {
		return c.String()
	}
	return c.String() + " carburettor"
}
