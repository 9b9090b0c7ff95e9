// Package repl reads, evaluates and prints: it runs a cell on the interpreter,
// with the compiled packages, and returns its result in the forms of a notebook.
package repl

import (
	"context"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/help"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// Evaluator runs the cells of one notebook.
type Evaluator struct {
	interpreter *interpreter.Interpreter
	assistant   *help.Assistant
	dir         string
	keeping     keeping
	belongings  belongings
	late        func(cell, stream, text string)
}

// New returns an evaluator for a notebook in the given folder, whose module's
// own packages its cells may import.
func New(dir string) (*Evaluator, error) {
	ev := &Evaluator{dir: dir}
	if err := ev.renew(); err != nil {
		return nil, err
	}
	return ev, nil
}

// Learn checks a cell and makes it part of the notebook without running it.
func (ev *Evaluator) Learn(c interpreter.Cell) (*interpreter.Record, *interpreter.Error) {
	return ev.interpreter.Learn(c)
}

// Run runs a cell.
func (ev *Evaluator) Run(ctx context.Context, source execution.Source) execution.Outcome {
	ev.belongings.begin(source.Name, ev.interpreter.Left())
	defer ev.belongings.end()
	return directed(source, func() execution.Outcome {
		if c, ok := meaning.Special(source.Text); ok && c.Kind != meaning.Forget {
			return ev.special(ctx, c)
		}
		return ev.run(ctx, source)
	})
}

func (ev *Evaluator) run(ctx context.Context, source execution.Source) execution.Outcome {
	text, failed := ev.fetch(ctx, source)
	if failed != nil {
		return execution.Outcome{Failure: failed}
	}
	r := ev.interpreter.Execute(ctx, interpreter.Cell{Name: source.Name, Source: text})
	out := execution.Outcome{Notices: r.Notices}
	if r.Err != nil {
		out.Failure = failure(r.Err)
		return out
	}
	if len(r.Values) > 0 {
		if last, err := r.Failing(); err != nil {
			out.Failure = ev.valueFailure(last, err)
			return out
		}
		out.Result, out.Failure = ev.show(ctx, shown(r.Values))
	}
	return out
}

// Call runs compiled code that may call back into cells. A panic becomes a
// failure; the call is given up when ctx is cancelled.
func (ev *Evaluator) Call(ctx context.Context, f func()) *execution.Failure {
	err := ev.interpreter.Guarded(ctx, interpreter.Visit{}, f)
	if err == nil {
		return nil
	}
	if err.Kind == interpreter.Panic {
		err.Message = "panic: " + ev.interpreter.TextOf(err.Value)
	}
	return failure(err)
}

// Close bars code of cells from the calling goroutine until open is called.
func (ev *Evaluator) Close() (open func()) { return ev.interpreter.Close() }

// shown are the values to show.
func shown(values []interpreter.Value) []any {
	var list []any
	for _, v := range values {
		list = append(list, valueOf(v))
	}
	return list
}

func valueOf(v interpreter.Value) any {
	if !v.Value.IsValid() || !v.Value.CanInterface() {
		return nil
	}
	return v.Value.Interface()
}

// failure tells an interpreter's error in the words of the protocol.
func failure(e *interpreter.Error) *execution.Failure {
	return &execution.Failure{
		Name:      e.Kind.String(),
		Value:     firstLine(e.Error()),
		Traceback: strings.Split(coloured(e.Traceback()), "\n"),
	}
}

// coloured makes the first line of a traceback stand out.
func coloured(text string) string {
	first, rest, more := strings.Cut(text, "\n")
	first = "\x1b[31m" + first + "\x1b[0m"
	if more {
		return first + "\n" + rest
	}
	return first
}

func firstLine(s string) string {
	first, _, _ := strings.Cut(s, "\n")
	return first
}

// valueFailure fails a cell whose last value is an error.
func (ev *Evaluator) valueFailure(v interpreter.Value, err error) *execution.Failure {
	text := ev.interpreter.TextOf(err)
	return &execution.Failure{
		Name:      "error",
		Value:     firstLine(text),
		Traceback: strings.Split(coloured(text)+"\n"+v.From.Place(), "\n"),
	}
}
