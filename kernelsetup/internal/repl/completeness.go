package repl

import (
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// Completeness tells whether a cell wants another line, and what that begins
// with.
func (ev *Evaluator) Completeness(source string) (execution.Completeness, string) {
	switch state, indent := meaning.Completeness(source); state {
	case meaning.Complete:
		return execution.Complete, ""
	case meaning.Incomplete:
		return execution.Incomplete, indent
	}
	return execution.Invalid, ""
}
