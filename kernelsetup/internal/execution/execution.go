// Package execution holds what passes between whoever runs cells and whoever asks
// for it: the session of a front end, or the runner of a notebook file.
package execution

import (
	"context"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// Source is one cell to run.
type Source struct {
	// Name is what errors call it, for example "cell 3".
	Name string
	// Text is the source as written.
	Text string
}

// Outcome is what became of a cell, beside what it printed and displayed.
type Outcome struct {
	// Result is the last expression's value; nil where there is none to show.
	Result notebook.Bundle
	// Failure is nil where the cell ran to its end.
	Failure *Failure
	// Notices tell what the cell changed beyond itself.
	Notices []string
	// Died tells that the process that ran the cell died of it: nothing that
	// was meant to follow may run unasked.
	Died bool
}

// Failure is why a cell failed, as the protocol wants it.
type Failure struct {
	// Name is the kind of failure, Value its message in one line.
	Name, Value string
	// Traceback is what the reader sees.
	Traceback []string
}

// Error returns the traceback as text.
func (f *Failure) Error() string { return strings.Join(f.Traceback, "\n") }

// Evaluator runs cells, one at a time. It returns soon after ctx is
// cancelled, whatever the cell does.
type Evaluator interface {
	Run(ctx context.Context, source Source) Outcome
	// Call runs f, which may call back into values of cells, under the same
	// protection as a cell.
	Call(ctx context.Context, f func()) *Failure
}

// Guard is what an Evaluator may do beside: keep code of cells where it
// belongs.
type Guard interface {
	// Format returns the forms in which values are shown, several side by
	// side. Their own methods have a limited time; where they fail, the forms
	// say so. The forms hold nothing but text, bytes and JSON.
	Format(values ...any) notebook.Bundle
	// Close bars code of cells from the calling goroutine until open is
	// called.
	Close() (open func())
}

// Assistant helps while a cell is being written. Offsets count bytes.
type Assistant interface {
	Complete(source string, cursor int) Completion
	// Inspect explains what stands at the cursor; detail 1 asks for more.
	Inspect(source string, cursor, detail int) (notebook.Bundle, bool)
	Completeness(source string) (Completeness, string)
}

// Completion lists what could stand from Start to End.
type Completion struct {
	Start, End int
	Matches    []Match
}

// Match is one candidate.
type Match struct {
	// Text replaces what stands there.
	Text string
	// Type is a word for the kind: "function", "variable", "type", "module",
	// "field", "keyword", "path".
	Type string
	// Signature is a type or parameter list, where there is one.
	Signature string
}

// Completeness says whether a front end should run a cell or start a new
// line.
type Completeness string

// The answers that the protocol knows.
const (
	Complete   Completeness = "complete"
	Incomplete Completeness = "incomplete"
	Invalid    Completeness = "invalid"
	Unknown    Completeness = "unknown"
)
