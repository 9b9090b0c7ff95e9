package execution

import (
	"context"
	"encoding/json"

	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// Worker runs the cells of one notebook and tells a Host what they put out
// meanwhile. It may be this process or another one that can die: then it says
// so in the Outcome, and goes on with a new one.
type Worker interface {
	Assistant
	// Attach sets who is told; it is called once, before anything else.
	Attach(Host) error
	// Run runs a cell and returns when the host has heard all it put out. It
	// returns soon after ctx is cancelled, whatever the cell does.
	Run(ctx context.Context, source Source, terms Terms) Outcome
	// Message hands a message of the front end to the cell that opened the
	// channel.
	Message(ctx context.Context, comm string, data json.RawMessage) *Failure
	// Release stops what earlier cells have left running: goroutines, timers,
	// listeners, child processes. It returns a line for each.
	Release() []string
	// Stop ends the worker and what its cells have left running.
	Stop()
}

// Terms are what a cell may expect of its front end.
type Terms struct {
	// Ask tells that there is somebody to ask for input.
	Ask bool
	// Begin is called when the cell is on its way and before the host is told
	// of anything it puts out; nil: nothing is to be done.
	Begin func()
}

// Host is told what cells put out. Its methods return when the front end's
// side has taken it.
type Host interface {
	// Stream takes text written to "stdout" or "stderr".
	Stream(name, text string)
	// Late takes text that a cell writes to a stream after its end.
	Late(cell, stream, text string)
	Display(b notebook.Bundle, id string)
	Update(b notebook.Bundle, id string)
	Clear(wait bool)
	// OpenComm, SendComm and CloseComm are a cell's side of a channel.
	OpenComm(id, target string, data, metadata json.RawMessage) error
	SendComm(id string, data json.RawMessage) error
	CloseComm(id string) error
	// Ask asks the front end's user for a line. It fails where nobody can be
	// asked, and when ctx is cancelled.
	Ask(ctx context.Context) (string, error)
	// Lost tells that the process that ran the cells died while none ran, or
	// with which channels it has taken along.
	Lost(l Loss)
}

// Loss is what became of a notebook whose process died.
type Loss struct {
	// Text tells it to the user; empty where a cell's Outcome does.
	Text string
}

// Saved is a notebook as another process can go on with it: some text, and
// pieces by their names. A later one repeats no piece.
type Saved struct {
	Head   []byte
	Pieces map[string][]byte
	// All names the pieces that belong to it, the earlier ones too.
	All []string
}

// Restored is what a new process brought back of a notebook.
type Restored struct {
	// After is the cell at whose end it was saved.
	After string
	// Variables are back with their values, Declared are types, functions,
	// constants and imports.
	Variables, Declared []string
	// Gone are the names that are not back, with the reason.
	Gone []Gone
}

// Gone is a name that could not be brought back.
type Gone struct{ Name, Why string }
