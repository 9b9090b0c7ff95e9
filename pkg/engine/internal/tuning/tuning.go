// Package tuning says what a shift of the mixture means for the person who tunes.
package tuning

import "fmt"

// Shift is a shift of the mixture, in percent leaner, and how it is made: by
// injection, by a carburettor with a piston or one with fixed jets; none of the
// three where nobody said.
type Shift struct {
	Percent                 float64
	Injection, Piston, Jets bool
}

// Say returns what it means in a sentence, what to look at and what to beware of.
func (s Shift) Say() (meaning string, check, cautions []string) {
	const hot = "A lean mixture at full throttle runs hot and can damage pistons and valves: measure the mixture before driving hard."
	switch {
	case s.Percent > 0.5:
		meaning = fmt.Sprintf("leaner by about %.1f %%: jets, needle or mixture screw a step richer if it was right before", s.Percent)
		if s.Injection {
			meaning = fmt.Sprintf("leaner by about %.1f %% at full throttle, where no probe corrects it: have it measured", s.Percent)
		}
		cautions = append(cautions, hot)
	case s.Percent < -0.5:
		meaning = fmt.Sprintf("richer by about %.1f %%: fuel consumption and fouled plugs rather than damage", -s.Percent)
	case s.Injection:
		meaning = "held by an injection that measures the air's mass or temperature; one that does not shifts as a carburettor"
	default:
		meaning = "less than 0.5 %: not worth a change"
	}
	if s.Injection {
		check = []string{"that the sensor of the intake air sits where the new air passes it: one that stays in warm air corrects for air that the engine does not breathe"}
		return meaning, check, append(cautions, "Same altitude, and no other fuel than the ones that were stated.")
	}
	check = []string{
		"air–fuel ratio or lambda at full throttle with a probe, or plugs and exhaust by someone who can read them, after a warm run",
		"that the float bowl is vented to the same place as the carburettor's mouth: with a duct or filter before the carburettor only, its depression acts as an extra fuel signal (richer)",
		"idle mixture and fast idle again when the bay is at its usual temperature",
	}
	if s.Piston {
		check = append(check, "piston free and damper oil of the right grade and level: colder oil is thicker and enriches acceleration")
	}
	if s.Jets {
		check = append(check, "main jet against air-correction jet: a whole-range shift is the main jet's matter, one at high speed only the air-correction jet's")
	}
	return meaning, check, append(cautions, "No automatic compensation assumed; what viscosity changes at the jets is not modelled.")
}
