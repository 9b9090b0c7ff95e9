package interpreter

import (
	"context"
	"fmt"
	"reflect"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter/vm"
)

// TextOf words a value as a panic does: by its Error or String method, else
// as fmt does, cut where it is long. The methods run behind the gate; where
// they fail, the text says so.
func (e *Interpreter) TextOf(v any) string { return e.session.textOf(v) }

func (s *session) textOf(v any) string {
	if text, ok := vm.PlainText(v); ok {
		return text
	}
	text := ""
	err := s.guarded(context.Background(), Visit{Limit: PatienceWithText}, func() { text = vm.PanicText(v) })
	if err != nil {
		return fmt.Sprintf("a value of type %s, whose own text cannot be made: %s", typeText(v), err.Message)
	}
	return text
}

// typeText names a value's type, and a nil pointer, since one in an error
// surprises most.
func typeText(v any) string {
	text := strings.ReplaceAll(reflect.TypeOf(v).String(), "main.", "")
	if rv := reflect.ValueOf(v); rv.Kind() == reflect.Pointer && rv.IsNil() {
		text += " (a nil pointer, which is no nil error once it is in one)"
	}
	return text
}
