package exercise

import (
	"encoding/json"
	"fmt"
	"html"

	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// MIME is the type of the form of a [Judgement] that programs read.
const MIME = "application/vnd.bonnetbook.exercise+json"

// Judgement is what was said of one answer.
type Judgement struct {
	// Exercise is the exercise's ID.
	Exercise string
	// Passed says that the answer is right.
	Passed bool
	// Mistake is the ID of what went wrong, empty for a right answer.
	Mistake string `json:",omitempty"`
	// Level of Levels is which of the mistake's hints was told, from 1; both
	// are 0 for a right answer.
	Level, Levels int `json:",omitempty"`
	// Says is the hint, or what the right answer shows. It is for showing only.
	Says string
}

// parts are the word of the judgement, what it says, and what to do next.
func (j Judgement) parts() (word, says, next string) {
	switch {
	case j.Passed:
		word = "✓ Right."
	case j.Mistake == NotAnswered || j.Mistake == NoData:
		word = "○"
	default:
		word = "✗ Not yet."
	}
	if j.Level < j.Levels {
		next = fmt.Sprintf(" (Hint %d of %d; run the check again for the next.)", j.Level, j.Levels)
	}
	return word, j.Says, next
}

// String returns what a person reads.
func (j Judgement) String() string {
	word, says, next := j.parts()
	return word + " " + says + next
}

// Display returns the text, the same as a paragraph, whose lines are not broken
// within words, and the form for programs.
func (j Judgement) Display() notebook.Bundle {
	b := notebook.TextBundle(j.String())
	word, says, next := j.parts()
	b[notebook.MIMEHTML] = "<p><strong>" + word + "</strong> " + html.EscapeString(says+next) + "</p>"
	// A struct of strings and numbers always encodes.
	if data, err := json.Marshal(j); err == nil {
		b[MIME] = json.RawMessage(data)
	}
	return b
}
