package evaluate

import (
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/cell"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// Completeness tells whether a cell wants another line, and what that begins
// with.
func (ev *Evaluator) Completeness(source string) (cell.Completeness, string) {
	if asks(source) != "" {
		return cell.Complete, ""
	}
	return completeness(source)
}

func completeness(source string) (cell.Completeness, string) {
	switch state, indent := meaning.Completeness(source); state {
	case meaning.Complete:
		return cell.Complete, ""
	case meaning.Incomplete:
		return cell.Incomplete, indent
	}
	return cell.Invalid, ""
}
