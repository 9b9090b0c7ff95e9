// Package evaluate joins the engine, the compiled packages and what a cell
// shows: it runs a cell and returns its result in the forms of a notebook.
package evaluate

import (
	"context"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/assist"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/cell"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/engine"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// Evaluator runs the cells of one notebook.
type Evaluator struct {
	engine     *engine.Engine
	assistant  *assist.Assistant
	dir        string
	keeping    keeping
	belongings belongings
	late       func(cell, text string)
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
func (ev *Evaluator) Learn(c engine.Cell) (*engine.Record, *engine.Error) { return ev.engine.Learn(c) }

// Run runs a cell.
func (ev *Evaluator) Run(ctx context.Context, source cell.Source) cell.Outcome {
	ev.belongings.begin(source.Name, ev.engine.Left())
	defer ev.belongings.end()
	if question := asks(source.Text); question != "" {
		return ev.answer(question)
	}
	return directed(source, func() cell.Outcome {
		if c, ok := meaning.Special(source.Text); ok {
			return ev.special(ctx, c)
		}
		return ev.run(ctx, source)
	})
}

func (ev *Evaluator) run(ctx context.Context, source cell.Source) cell.Outcome {
	text, failed := ev.fetch(ctx, source)
	if failed != nil {
		return cell.Outcome{Failure: failed}
	}
	r := ev.engine.Execute(ctx, engine.Cell{Name: source.Name, Source: text})
	out := cell.Outcome{Notices: r.Notices}
	if r.Err != nil {
		out.Failure = failure(r.Err)
		return out
	}
	if n := len(r.Values); n > 0 {
		last := r.Values[n-1]
		if err := last.Err(); err != nil {
			out.Failure = ev.valueFailure(last, err)
			return out
		}
		out.Result, out.Failure = ev.show(ctx, shown(r.Values))
	}
	return out
}

// Call runs compiled code that may call back into cells. A panic becomes a
// failure; the call is given up when ctx is cancelled.
func (ev *Evaluator) Call(ctx context.Context, f func()) *cell.Failure {
	err := ev.engine.Guarded(ctx, engine.Visit{}, f)
	if err == nil {
		return nil
	}
	if err.Kind == engine.Panic {
		err.Message = "panic: " + ev.engine.TextOf(err.Value)
	}
	return failure(err)
}

// Close bars code of cells from the calling goroutine until open is called.
func (ev *Evaluator) Close() (open func()) { return ev.engine.Close() }

// shown are the values to show.
func shown(values []engine.Value) []any {
	var list []any
	for _, v := range values {
		list = append(list, valueOf(v))
	}
	return list
}

func valueOf(v engine.Value) any {
	if !v.Value.IsValid() || !v.Value.CanInterface() {
		return nil
	}
	return v.Value.Interface()
}

// failure tells an engine's error in the words of the protocol.
func failure(e *engine.Error) *cell.Failure {
	return &cell.Failure{
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
func (ev *Evaluator) valueFailure(v engine.Value, err error) *cell.Failure {
	text := ev.engine.TextOf(err)
	return &cell.Failure{
		Name:      "error",
		Value:     firstLine(text),
		Traceback: strings.Split(coloured(text)+"\n"+v.From.Place(), "\n"),
	}
}
