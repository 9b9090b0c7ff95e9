package repl

import (
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// goText is the part of a cell that is Go, and where it begins; none of a
// shell cell is, and the name of a help cell.
func goText(source string) (text string, at int) {
	if rest, ok := strings.CutPrefix(source, "help "); ok && !strings.Contains(source, "\n") {
		return rest, len(source) - len(rest)
	}
	if c, ok := meaning.Special(source); ok && c.Kind == meaning.Shell {
		return "", len(source)
	}
	return source, 0
}

// Complete lists what could stand at the cursor, a byte offset.
func (ev *Evaluator) Complete(source string, cursor int) execution.Completion {
	text, at := goText(source)
	if text == "" && at > 0 || cursor < at {
		return execution.Completion{Start: cursor, End: cursor}
	}
	c := ev.assistant.Complete(text, cursor-at)
	c.Start, c.End = c.Start+at, c.End+at
	return c
}

// Inspect explains what stands at the cursor, a byte offset.
func (ev *Evaluator) Inspect(source string, cursor, detail int) (notebook.Bundle, bool) {
	text, at := goText(source)
	if text == "" && at > 0 || cursor < at {
		return nil, false
	}
	return ev.assistant.Inspect(text, cursor-at, detail)
}
