package engine

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// fuelExpansion is the volumetric thermal expansion of petrol, 1/K; from
// memory, handbooks give 0.00095 to 0.0010.
const fuelExpansion = 0.95e-3

// MixtureShift is what a change of intake air does to the air–fuel ratio of a
// carburettor whose setting stays.
type MixtureShift struct {
	Carburettor Carburettor
	From, To    air.State
	// Ratio is AFR after over AFR before, above 1 for leaner, with the air
	// counted dry: vapour carries no oxygen.
	Ratio float64
	// Low and High bound it: with the fuel in the bowl following the intake
	// air's temperature wholly, and not at all.
	Low, High float64
	// Change is Ratio − 1 with the same bounds.
	Change estimate.Estimate
	// KelvinPerPercent is the change of intake temperature that shifts the
	// ratio by 1 % at the first state, about 6 K.
	KelvinPerPercent quantity.TemperatureDifference
	// Meaning is one sentence for the person who tunes.
	Meaning  string
	Check    []string
	Cautions []string
}

// ShiftOfMixture returns the shift of the air–fuel ratio when the intake air
// changes and nothing is adjusted.
//
//	AFR_to/AFR_from = (ρ_d,to/ρ_d,from)/√(ρ_to/ρ_from)
//
// with ρ the density of the moist air, which makes the signal, and ρ_d =
// (p − e)/(R_d·T) that of the dry air in it, which carries the oxygen: vapour
// displaces air. For the same share of vapour it is √(ρ_to/ρ_from).
//
// A fixed venturi draws fuel by the signal ρ·V̇²/A²: fuel follows √ρ, dry air
// follows ρ_d at the same volume flow. A constant-depression carburettor holds
// the signal and lets the piston rise with V̇·√ρ: with a needle cut for one
// ratio, fuel follows the lift and so √ρ again. An unknown kind is taken as
// either. The fuel's own density rises by about 0.095 % per kelvin colder bowl,
// which enriches by half of that; the bowl's part in the change is not known,
// so it makes the span.
//
// An injection that measures the air's mass, or its temperature beside its
// volume or pressure, holds the ratio; one that measures the dynamic pressure of
// the air alone shifts as a carburettor does. Which of them it is is not known
// here, so the span reaches from one to the other (common practice, no source).
// Invalid states give NaN and an error that wraps
// [air.ErrOutOfRange].
//
// Source: the flow equations of the elementary carburettor, Heywood, Internal
// Combustion Engine Fundamentals (1988), ch. 7, from memory; the density error
// of carburettors is the subject of NACA TN-1874 (1949).
func ShiftOfMixture(kind Carburettor, from, to air.State) (MixtureShift, error) {
	nan := math.NaN()
	m := MixtureShift{Carburettor: kind, From: from, To: to, Ratio: nan, Low: nan, High: nan}
	m.Change = estimate.Unknown("change of the air–fuel ratio", quantity.KindShare.Shown(), "the state of the air is not valid")
	for _, s := range []air.State{from, to} {
		if err := s.Check(); err != nil {
			return m, fmt.Errorf("engine.ShiftOfMixture: %w", err)
		}
	}
	m.Ratio = dryDensity(to) / dryDensity(from) / math.Sqrt(float64(to.Density()/from.Density()))
	colder := from.Temperature.Sub(to.Temperature).Kelvins()
	withBowl := m.Ratio / math.Sqrt(1+fuelExpansion*colder)
	m.Low, m.High = min(m.Ratio, withBowl), max(m.Ratio, withBowl)
	if kind == Injection {
		m.Low, m.High = min(m.Ratio, 1), max(m.Ratio, 1)
		m.Ratio = 1
	}
	m.Change = estimate.Within("change of the air–fuel ratio", m.Ratio-1, quantity.KindShare.Shown(), m.Low-1, m.High-1)
	m.KelvinPerPercent = quantity.KelvinDifference(0.02 * from.Temperature.Kelvin())
	m.describe()
	return m, nil
}

// dryDensity returns the mass of dry air in a volume of moist air, kg/m³.
func dryDensity(s air.State) float64 { return float64(s.Density()) / (1 + s.MixingRatio()) }

func (m *MixtureShift) describe() {
	percent := 100 * (m.Ratio - 1)
	switch {
	case m.Carburettor == Injection:
		m.Meaning = "held by an injection that measures the air's mass or temperature; one that does not shifts as a carburettor"
	case percent > 0.5:
		m.Meaning = fmt.Sprintf("leaner by about %.1f %%: jets, needle or mixture screw a step richer if it was right before", percent)
		m.Cautions = append(m.Cautions, "A lean mixture at full throttle runs hot and can damage pistons and valves: measure the mixture before driving hard.")
	case percent < -0.5:
		m.Meaning = fmt.Sprintf("richer by about %.1f %%: fuel consumption and fouled plugs rather than damage", -percent)
	default:
		m.Meaning = "less than 0.5 %: not worth a change"
	}
	if m.Carburettor == Injection {
		m.Check = []string{"that the sensor of the intake air sits where the new air passes it: one that stays in warm air corrects for air that the engine does not breathe"}
		m.Cautions = append(m.Cautions, "Same fuel, same altitude.")
		return
	}
	m.Check = []string{
		"air–fuel ratio or lambda at full throttle with a probe, or plugs and exhaust by someone who can read them, after a warm run",
		"that the float bowl is vented to the same place as the carburettor's mouth: with a duct or filter before the carburettor only, its depression acts as an extra fuel signal (richer)",
		"idle mixture and fast idle again when the bay is at its usual temperature",
	}
	if m.Carburettor == ConstantDepression {
		m.Check = append(m.Check, "piston free and damper oil of the right grade and level: colder oil is thicker and enriches acceleration")
	}
	if m.Carburettor == FixedJet {
		m.Check = append(m.Check, "main jet against air-correction jet: a whole-range shift is the main jet's matter")
	}
	m.Cautions = append(m.Cautions, "Same fuel, same altitude, no automatic compensation assumed.")
}

// String returns the shift, its span and its meaning.
func (m MixtureShift) String() string {
	return fmt.Sprintf("air–fuel ratio × %.3f (%.3f to %.3f): %s; 1 %% per %.1f K (%v)",
		m.Ratio, m.Low, m.High, m.Meaning, m.KelvinPerPercent.Kelvins(), preparation(m.Carburettor))
}

func preparation(c Carburettor) string {
	if c == Injection {
		return c.String()
	}
	return c.String() + " carburettor"
}
