package notebook

import "html"

// label is the name of a control, above it: beside it front ends cut off what is
// longer than a word. There the page also says that a change waits.
type label struct{ control }

// whileWaiting is the field of a channel's metadata that tells the kernel what to
// send where a message has to wait for the cell that runs, and what when it was
// taken.
const whileWaiting = "while_waiting"

// waiting is the field's content: the channel that is told, and the states of its
// model.
type waiting struct {
	Comm   string         `json:"comm"`
	During map[string]any `json:"during"`
	After  map[string]any `json:"after"`
}

const waitsNote = ` <span style="font-style:italic">changed; waits for the cell that runs</span>`

func newLabel(name string) *label {
	return &label{control{model: "HTML", name: name, state: map[string]any{"value": html.EscapeString(name)}}}
}

func (l *label) waiting() waiting {
	l.mu.Lock()
	defer l.mu.Unlock()
	text := html.EscapeString(l.name)
	return waiting{l.comm.ID(), map[string]any{"value": text + waitsNote}, map[string]any{"value": text}}
}
