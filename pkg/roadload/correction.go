package roadload

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
)

// Question is what a comparison on the road is to answer. It decides which
// temperature the power is corrected with.
type Question int

const (
	// IntakeIsTested: is the changed intake better? Correct with the ambient
	// air of each run only. The intake temperature is the effect itself;
	// correcting with it would remove what is to be measured.
	IntakeIsTested Question = iota
	// EngineIsTested: is the engine the same at equal intake air? Correct with
	// the air that it breathed.
	EngineIsTested
)

// Corrected is a correction for the weather of one run.
type Corrected struct {
	Question Question
	Factor   engine.Factor
	// Note says which air was taken and why.
	Note string
}

// Correction returns the factor to reference air for a run's power by a
// standard, from the ambient or the intake air as the question wants it. It
// fails as [engine.Standard.Factor] does, for an intake that can't be (the zero
// value is not known), and, wrapping [ErrOutOfRange], for a
// question that is neither.
func Correction(q Question, s engine.Standard, ambient, intake air.State) (Corrected, error) {
	c := Corrected{Question: q}
	a := ambient
	switch q {
	case IntakeIsTested:
		c.Note = "corrected with ambient air: the intake's own temperature is the effect under test and stays in"
	case EngineIsTested:
		a = intake
		c.Note = "corrected with the intake's air: an effect of the intake on its temperature is taken out"
	default:
		return c, rangeError("Correction", "question number", float64(q), float64(IntakeIsTested), float64(EngineIsTested), plain, "")
	}
	if intake != (air.State{}) && a != intake { // not asked for, and not nonsense either
		if err := intake.Check(); err != nil {
			return c, fmt.Errorf("roadload.Correction, intake: %w", err)
		}
	}
	var err error
	if c.Factor, err = s.Factor(a); err != nil {
		return c, fmt.Errorf("roadload.Correction: %w", err)
	}
	return c, nil
}

// String returns the factor and the note.
func (c Corrected) String() string { return fmt.Sprintf("%v; %s", c.Factor, c.Note) }
