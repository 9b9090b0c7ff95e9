// Package batch executes a notebook file without Jupyter.
package batch

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"sync"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// Options configure a run; the zero value is the usual one.
type Options struct {
	// KeepGoing runs the cells behind a failed one too.
	KeepGoing bool
	// Timeout limits each cell; zero: no limit.
	Timeout time.Duration
	// Before is called before each code cell with its number, from 1, and
	// the number of code cells.
	Before func(cell, of int)
}

// CellError is the failure of one cell.
type CellError struct {
	// Cell is the number of the code cell, from 1.
	Cell    int
	Failure *execution.Failure
}

var colours = regexp.MustCompile("\x1b\\[[0-9;]*m")

// Error names the cell and shows the traceback, without colours.
func (e *CellError) Error() string {
	return fmt.Sprintf("cell %d: %s", e.Cell, colours.ReplaceAllString(e.Failure.Error(), ""))
}

// Run executes all code cells in order and puts their outputs into the
// notebook. The first failed cell ends the run with a *CellError, unless the
// cell is tagged "raises-exception"; a cell so tagged that does not fail is
// not an error. The notebook keeps what came until then.
//
// The worker is stopped in the end.
func Run(ctx context.Context, n *nbformat.Notebook, w execution.Worker, opt Options) error {
	r := &run{opt: opt, worker: w}
	if err := w.Attach(r); err != nil {
		return err
	}
	defer w.Stop()

	n.StripOutputs()
	var code []*nbformat.Cell
	for _, c := range n.Cells {
		if c.Kind() == nbformat.Code {
			code = append(code, c)
		}
	}
	var first error
	for i, c := range code {
		if opt.Before != nil {
			opt.Before(i+1, len(code))
		}
		failure := r.cell(ctx, c, i+1)
		if failure == nil || c.HasTag(nbformat.TagRaises) {
			continue
		}
		if first == nil {
			first = &CellError{i + 1, failure}
		}
		if !opt.KeepGoing {
			break
		}
	}
	r.finish()
	return first
}

// run is the state of one run. Outputs of a cell may be replaced by later
// cells, so all are kept until the end.
type run struct {
	opt    Options
	worker execution.Worker

	mu    sync.Mutex
	cells []*ran
	now   *ran
}

type ran struct {
	cell    *nbformat.Cell
	outputs []nbformat.Output
	clear   bool // before the next output
}

func (r *run) cell(ctx context.Context, c *nbformat.Cell, number int) *execution.Failure {
	r.mu.Lock()
	r.now = &ran{cell: c}
	r.cells = append(r.cells, r.now)
	r.mu.Unlock()
	c.SetExecutionCount(number)
	if r.opt.Timeout > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, r.opt.Timeout)
		defer cancel()
	}
	if g, ok := r.worker.(interface{ Close() (open func()) }); ok {
		defer g.Close()()
	}
	outcome := r.worker.Run(ctx, execution.Source{Name: fmt.Sprintf("cell %d", number), Text: c.Source()}, execution.Terms{})
	for _, notice := range outcome.Notices {
		r.Stream("stderr", notice+"\n")
	}
	switch f := outcome.Failure; {
	case f != nil:
		r.put(nbformat.Output{Kind: nbformat.Failure,
			ErrorName: f.Name, ErrorValue: f.Value, Traceback: f.Traceback})
	case outcome.Result != nil:
		r.put(nbformat.Output{Kind: nbformat.Result, Count: number, Data: dataOf(outcome.Result)})
	}
	return outcome.Failure
}

// finish hands the collected outputs to the cells.
func (r *run) finish() {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, c := range r.cells {
		c.cell.SetOutputs(c.outputs)
	}
}

// put adds an output to the running cell.
func (r *run) put(o nbformat.Output) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.now.add(o)
}

func (c *ran) add(o nbformat.Output) {
	if c.clear {
		c.outputs, c.clear = nil, false
	}
	if n := len(c.outputs); o.Kind == nbformat.Stream && n > 0 &&
		c.outputs[n-1].Kind == nbformat.Stream && c.outputs[n-1].Name == o.Name {
		c.outputs[n-1].Text += o.Text
		return
	}
	c.outputs = append(c.outputs, o)
}

// Stream, Display, Update and Clear make a run the host of its cells.
func (r *run) Stream(name, text string) {
	r.put(nbformat.Output{Kind: nbformat.Stream, Name: name, Text: text})
}

// Late adds to the output of the cell itself.
func (r *run) Late(cell, stream, text string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for i, c := range r.cells {
		if fmt.Sprintf("cell %d", i+1) == cell {
			c.add(nbformat.Output{Kind: nbformat.Stream, Name: stream, Text: text})
		}
	}
}

func (r *run) Display(b notebook.Bundle, id string) {
	r.put(nbformat.Output{Kind: nbformat.Display, Data: dataOf(b), DisplayID: id})
}

func (r *run) Update(b notebook.Bundle, id string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, c := range r.cells {
		for i := range c.outputs {
			if c.outputs[i].DisplayID == id {
				c.outputs[i].Data = dataOf(b)
			}
		}
	}
}

func (r *run) Clear(wait bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if wait {
		r.now.clear = true
	} else {
		r.now.outputs = nil
	}
}

// A notebook file has nobody at the other end of a control.
var errNobody = errors.New("nobody looks at this notebook while it runs")

func (r *run) OpenComm(string, string, json.RawMessage, json.RawMessage) error { return errNobody }
func (r *run) SendComm(string, json.RawMessage) error                          { return errNobody }
func (r *run) CloseComm(string) error                                          { return nil }
func (r *run) Ask(context.Context) (string, error)                             { return "", errNobody }

// Lost tells below the last cell what was lost while none ran.
func (r *run) Lost(l execution.Loss) {
	r.mu.Lock()
	none := r.now == nil
	r.mu.Unlock()
	if l.Text != "" && !none {
		r.Stream("stderr", l.Text)
	}
}

// dataOf turns a bundle into what a notebook file holds.
func dataOf(b notebook.Bundle) map[string]any {
	data := make(map[string]any, len(b))
	for mime, v := range b {
		switch v := v.(type) {
		case string, []byte:
			data[mime] = v
		default:
			// Through JSON once, so that the file reads back the same.
			raw, err := json.Marshal(v)
			var doc any
			if err == nil && json.Unmarshal(raw, &doc) == nil {
				data[mime] = doc
			}
		}
	}
	return data
}
