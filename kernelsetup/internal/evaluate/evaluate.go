// Package evaluate joins the engine, the compiled packages and what a cell
// shows: it runs a cell and returns its result in the forms of a notebook.
package evaluate

import (
	"context"
	"fmt"
	"go/types"
	"reflect"
	"runtime/debug"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/assist"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/cell"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/engine"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// Evaluator runs the cells of one notebook.
type Evaluator struct {
	engine    *engine.Engine
	assistant *assist.Assistant
}

// New returns an evaluator for a notebook in the given folder, whose module's
// own packages its cells may import.
func New(dir string) (*Evaluator, error) {
	e, err := engine.New(engine.Options{Library: symbols.Default(), Dir: dir})
	if err != nil {
		return nil, err
	}
	return &Evaluator{engine: e, assistant: assist.New(e, symbols.Default(), dir)}, nil
}

// Import finds a package's types by its path.
func (ev *Evaluator) Import(path string) (*types.Package, error) { return ev.engine.Package(path) }

// Run runs a cell.
func (ev *Evaluator) Run(ctx context.Context, source cell.Source) cell.Outcome {
	r := ev.engine.Execute(ctx, engine.Cell{Name: source.Name, Source: source.Text})
	out := cell.Outcome{Notices: r.Notices}
	if r.Err != nil {
		out.Failure = failure(r.Err)
		return out
	}
	if n := len(r.Values); n > 0 {
		last := r.Values[n-1]
		if err := last.Err(); err != nil {
			out.Failure = valueFailure(last, err)
			return out
		}
		out.Failure = ev.Call(ctx, func() { out.Result = show(r.Values) })
	}
	return out
}

// Call runs compiled code that may call back into cells. A panic becomes a
// failure; the call is given up when ctx is cancelled.
func (ev *Evaluator) Call(ctx context.Context, f func()) *cell.Failure {
	done := make(chan *cell.Failure, 1)
	go func() {
		var failed *cell.Failure
		defer func() {
			if r := recover(); r != nil {
				failed = panicFailure(r)
			}
			done <- failed
		}()
		ev.engine.Recovering(f)
	}()
	select {
	case failed := <-done:
		return failed
	case <-ctx.Done():
		return &cell.Failure{Name: "interrupted", Value: "interrupted", Traceback: []string{"interrupted"}}
	}
}

// show puts the values of the last expression side by side. A nil error
// behind other values says only that all went well.
func show(values []engine.Value) notebook.Bundle {
	var list []any
	for i, v := range values {
		if i > 0 && i == len(values)-1 && isError(v.Type) && isNil(v.Value) {
			continue
		}
		list = append(list, valueOf(v))
	}
	switch len(list) {
	case 0:
		return nil
	case 1:
		return notebook.Format(list[0])
	}
	return notebook.SideBySide(list...)
}

func isError(t types.Type) bool {
	return t != nil && types.Identical(t, types.Universe.Lookup("error").Type())
}

func isNil(v reflect.Value) bool {
	return !v.IsValid() || v.Kind() == reflect.Interface && v.IsNil()
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
func valueFailure(v engine.Value, err error) *cell.Failure {
	return &cell.Failure{
		Name:      "error",
		Value:     firstLine(err.Error()),
		Traceback: strings.Split(coloured(err.Error())+"\n"+v.From.Place(), "\n"),
	}
}

func panicFailure(r any) *cell.Failure {
	text := fmt.Sprint(r)
	if _, ok := r.(error); !ok {
		text = "panic: " + text
	}
	f := &cell.Failure{Name: "panic", Value: firstLine(text), Traceback: strings.Split(coloured(text), "\n")}
	if strings.HasPrefix(text, "runtime error") {
		f.Traceback = append(f.Traceback, string(debug.Stack()))
	}
	return f
}
