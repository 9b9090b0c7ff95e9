// Package worker runs cells in this process: it joins an evaluator with the
// standard streams, the sink of what cells show, and the channels they open.
package worker

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"io"
	"os"
	"sync"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/stdstreams"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// Worker is an execution.Worker in this process.
type Worker struct {
	ev     execution.Evaluator
	help   execution.Assistant // may be nil
	host   execution.Host
	output *stdstreams.Output // nil where another process reads what is written
	input  *stdstreams.Input
	before notebook.Sink
	// streams are watched over where another process reads them.
	streams *streams

	mu    sync.Mutex
	comms map[string]channel
	cell  string // the text of the cell that runs, or ran last
}

// channel is a cell's channel to the front end.
type channel struct {
	receive func(json.RawMessage)
	cell    string // the text of the cell that opened it
}

// Here returns a worker that runs cells in this process by ev, and takes over
// its standard streams. If ev is an Assistant or a Guard too, it is asked as
// such.
func Here(ev execution.Evaluator) *Worker {
	w := &Worker{ev: ev, comms: map[string]channel{}}
	w.help, _ = ev.(execution.Assistant)
	return w
}

// Attach takes over the standard streams.
func (w *Worker) Attach(h execution.Host) (err error) {
	w.host = h
	w.output, err = stdstreams.Start(func(name stdstreams.Name, text string) { h.Stream(string(name), text) })
	if err != nil {
		return err
	}
	return w.attach()
}

// attach is Attach but for what is written.
func (w *Worker) attach() (err error) {
	if w.input, err = stdstreams.StartInput(); err != nil {
		return err
	}
	w.before = notebook.SetSink(sink{w})
	w.gather()
	return nil
}

const (
	// lateTime is how long text that cells print after their end waits for
	// more, lateBytes how much.
	lateTime  = 25 * time.Millisecond
	lateBytes = 64 << 10
)

// gather hands on what cells print after their end, in larger pieces.
func (w *Worker) gather() {
	late, ok := w.ev.(interface {
		LateOutput(func(cell, stream, text string))
	})
	if !ok {
		return
	}
	type piece struct{ cell, stream, text string }
	var mu sync.Mutex
	var waiting []piece // in the order written
	size := 0
	send := func() {
		mu.Lock()
		pieces := waiting
		waiting, size = nil, 0
		mu.Unlock()
		for _, p := range pieces {
			w.host.Late(p.cell, p.stream, p.text)
		}
	}
	late.LateOutput(func(cell, stream, text string) {
		mu.Lock()
		first := waiting == nil
		if n := len(waiting) - 1; n >= 0 && waiting[n].cell == cell && waiting[n].stream == stream {
			waiting[n].text += text
		} else {
			waiting = append(waiting, piece{cell, stream, text})
		}
		size += len(text)
		full := size > lateBytes
		mu.Unlock()
		switch {
		case full:
			send()
		case first:
			time.AfterFunc(lateTime, send)
		}
	})
}

func (w *Worker) flush() {
	if w.output != nil {
		w.output.Flush()
	}
}

// Run runs a cell with its streams connected.
func (w *Worker) Run(ctx context.Context, source execution.Source, terms execution.Terms) execution.Outcome {
	if terms.Begin != nil {
		terms.Begin()
	}
	var ask func() (string, error)
	if terms.Ask {
		ask = func() (string, error) {
			w.flush() // the question is often printed just before
			return w.host.Ask(ctx)
		}
	}
	w.again(source.Text)
	w.input.Begin(ask)
	outcome := w.ev.Run(ctx, source)
	w.input.End()
	w.flush()
	if w.streams != nil {
		outcome.Notices = append(outcome.Notices, w.streams.reopen()...)
	}
	return outcome
}

// again closes the channels that the same cell opened when it ran before: its
// controls are off the page, and new ones come.
func (w *Worker) again(cell string) {
	w.mu.Lock()
	w.cell = cell
	var gone []comm
	for id, c := range w.comms {
		if c.cell == cell {
			gone = append(gone, comm{w, id})
		}
	}
	w.mu.Unlock()
	for _, c := range gone {
		c.Close()
	}
}

// Message lets the cell that opened a channel receive.
func (w *Worker) Message(ctx context.Context, comm string, data json.RawMessage) *execution.Failure {
	w.mu.Lock()
	receive := w.comms[comm].receive
	w.mu.Unlock()
	if receive == nil {
		return nil
	}
	w.input.Begin(nil)
	failure := w.ev.Call(ctx, func() { receive(data) })
	w.flush()
	return failure
}

// Release stops what cells left running, if the evaluator can.
func (w *Worker) Release() []string {
	if r, ok := w.ev.(interface{ Release() []string }); ok {
		return r.Release()
	}
	return nil
}

// Stop gives the streams back.
func (w *Worker) Stop() {
	notebook.SetSink(w.before)
	w.input.Stop()
	if w.output != nil {
		w.output.Stop()
	}
}

// Original is a stream as it was before it was taken over.
func (w *Worker) Original(name stdstreams.Name) *os.File {
	if w.output == nil {
		return os.Stderr
	}
	return w.output.Original(name)
}

// Close bars code of cells from the calling goroutine until open is called.
func (w *Worker) Close() (open func()) {
	if g, ok := w.ev.(execution.Guard); ok {
		return g.Close()
	}
	return func() {}
}

// Complete asks the evaluator.
func (w *Worker) Complete(source string, cursor int) execution.Completion {
	if w.help == nil {
		return execution.Completion{Start: cursor, End: cursor}
	}
	return w.help.Complete(source, cursor)
}

// Inspect asks the evaluator.
func (w *Worker) Inspect(source string, cursor, detail int) (notebook.Bundle, bool) {
	if w.help == nil {
		return nil, false
	}
	return w.help.Inspect(source, cursor, detail)
}

// Completeness asks the evaluator.
func (w *Worker) Completeness(source string) (execution.Completeness, string) {
	if w.help == nil {
		return execution.Unknown, ""
	}
	return w.help.Completeness(source)
}

// sink hands on what cells show. Text printed before an output must reach the
// front end before it.
type sink struct{ w *Worker }

// Format makes the forms of values behind the evaluator's gate.
func (s sink) Format(values ...any) notebook.Bundle {
	if g, ok := s.w.ev.(execution.Guard); ok {
		return g.Format(values...)
	}
	if len(values) == 1 {
		return notebook.Format(values[0])
	}
	return notebook.SideBySide(values...)
}

func (s sink) Display(b notebook.Bundle, id string) {
	s.w.flush()
	s.w.host.Display(b, id)
}

func (s sink) Update(b notebook.Bundle, id string) {
	s.w.flush()
	s.w.host.Update(b, id)
}

func (s sink) Clear(wait bool) {
	s.w.flush()
	s.w.host.Clear(wait)
}

// random is what a cell cannot replace.
var random = rand.Reader

// OpenComm lets a cell open a channel to the front end.
func (s sink) OpenComm(target string, data, metadata any, receive func(json.RawMessage)) (notebook.Comm, error) {
	var id [16]byte
	io.ReadFull(random, id[:])
	c := comm{s.w, hex.EncodeToString(id[:])}
	raw, err := json.Marshal(data)
	if err != nil {
		return nil, err
	}
	var about json.RawMessage
	if metadata != nil {
		if about, err = json.Marshal(metadata); err != nil {
			return nil, err
		}
	}
	s.w.mu.Lock()
	s.w.comms[c.id] = channel{receive, s.w.cell}
	s.w.mu.Unlock()
	if err := s.w.host.OpenComm(c.id, target, raw, about); err != nil {
		s.w.mu.Lock()
		delete(s.w.comms, c.id)
		s.w.mu.Unlock()
		return nil, err
	}
	return c, nil
}

// comm is a cell's end of a channel.
type comm struct {
	w  *Worker
	id string
}

func (c comm) ID() string { return c.id }

// Closed reports whether nobody listens any more.
func (c comm) Closed() bool {
	c.w.mu.Lock()
	defer c.w.mu.Unlock()
	_, open := c.w.comms[c.id]
	return !open
}

func (c comm) Send(data any) error {
	raw, err := json.Marshal(data)
	if err != nil {
		return err
	}
	return c.w.host.SendComm(c.id, raw)
}

func (c comm) Close() error {
	c.w.mu.Lock()
	delete(c.w.comms, c.id)
	c.w.mu.Unlock()
	return c.w.host.CloseComm(c.id)
}
