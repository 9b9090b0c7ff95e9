package repl

import (
	"context"
	"encoding/json"
	"fmt"
	"image"
	"reflect"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// Format returns the forms in which cells' values are shown, as text, bytes
// and JSON.
func (ev *Evaluator) Format(values ...any) notebook.Bundle {
	b, failed := ev.show(context.Background(), values)
	if failed != nil {
		return notebook.TextBundle(failed.Value)
	}
	return b
}

// show puts values side by side. It fails only when ctx is cancelled: a value
// that cannot show itself is told in its place.
func (ev *Evaluator) show(ctx context.Context, list []any) (notebook.Bundle, *execution.Failure) {
	if len(list) == 0 {
		return nil, nil
	}
	visit := interpreter.Visit{Limit: interpreter.PatienceWithText}
	for _, v := range list {
		visit.Compiled = visit.Compiled || draws(v)
	}
	var b notebook.Bundle
	err := ev.interpreter.Guarded(ctx, visit, func() {
		if len(list) == 1 {
			b = settled(notebook.Format(list[0]))
		} else {
			b = settled(notebook.SideBySide(list...))
		}
	})
	switch {
	case err == nil:
		return b, nil
	case err.Kind == interpreter.Interrupted:
		return nil, failure(err)
	case err.Kind == interpreter.Panic:
		err.Message = "panic: " + ev.interpreter.TextOf(err.Value)
	}
	return notebook.TextBundle(unshown(list, err)), nil
}

// draws reports whether showing a value may rightly take long: it makes a
// picture, or decides for itself.
func draws(v any) bool {
	switch v.(type) {
	case notebook.Displayer, image.Image:
		return true
	}
	return v != nil && reflect.ValueOf(v).MethodByName("WriterTo").IsValid()
}

// unshown says what is shown instead of values that failed to show
// themselves.
func unshown(list []any, err *interpreter.Error) string {
	var types []string
	for _, v := range list {
		types = append(types, strings.ReplaceAll(fmt.Sprintf("%T", v), "main.", ""))
	}
	text := fmt.Sprintf("%s that cannot be shown: %s", strings.Join(types, ", "), err.Message)
	if err.Kind == interpreter.LimitExceeded && err.Value == nil {
		text += ". Its own methods may take that long to make its text or picture; what takes longer belongs into the cell, such as x.Display() as the last line."
	}
	return text
}

// settled makes the forms independent of cells: what is neither text nor
// bytes becomes JSON. A form that cannot be encoded is replaced by the reason.
func settled(b notebook.Bundle) notebook.Bundle {
	out := make(notebook.Bundle, len(b))
	for mime, v := range b {
		switch v := v.(type) {
		case string, []byte:
			out[mime] = v
		default:
			out[mime] = encoded(v)
		}
	}
	return out
}

func encoded(v any) (raw json.RawMessage) {
	defer func() {
		if r := recover(); r != nil {
			raw, _ = json.Marshal("cannot be encoded as JSON: its method panicked")
		}
	}()
	raw, err := json.Marshal(v)
	if err != nil {
		raw, _ = json.Marshal("cannot be encoded as JSON: " + err.Error())
	}
	return raw
}
