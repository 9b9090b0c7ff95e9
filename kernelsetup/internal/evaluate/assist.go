package evaluate

import (
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// Complete lists what could stand at the cursor, a byte offset.
func (ev *Evaluator) Complete(source string, cursor int) cell.Completion {
	return ev.assistant.Complete(source, cursor)
}

// Inspect explains what stands at the cursor, a byte offset.
func (ev *Evaluator) Inspect(source string, cursor, detail int) (notebook.Bundle, bool) {
	return ev.assistant.Inspect(source, cursor, detail)
}
