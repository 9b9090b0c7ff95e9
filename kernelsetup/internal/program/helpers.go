package program

import (
	"fmt"
	"go/types"
)

// The functions that a program needs to do what a notebook does by itself;
// each is written once, where it is needed first.

func (w *writer) named(path, name string) string {
	return w.importName(types.NewPackage(path, name), name)
}

// showOrFailHelper shows values, or ends the program with the error.
func (w *writer) showOrFailHelper() string {
	if w.showOrFail == "" {
		w.showOrFail = w.unique("showOrFail")
		fmt.Fprintf(&w.declarations, `// %[1]s shows values; a last one that is a non-nil error ends the program.
func %[1]s(values ...any) {
	if err, ok := values[len(values)-1].(error); ok && err != nil {
		%[2]s.Fprintln(%[3]s.Stderr, err)
		%[3]s.Exit(1)
	}
	%[4]s.Show(values...)
}

`, w.showOrFail, w.named("fmt", "fmt"), w.named("os", "os"), w.named(notebookPath, "notebook"))
	}
	return w.showOrFail
}

// showOrPanicHelper shows values, or panics with the error, for a cell that
// may fail.
func (w *writer) showOrPanicHelper() string {
	if w.showOrPanic == "" {
		w.showOrPanic = w.unique("showOrPanic")
		fmt.Fprintf(&w.declarations, `// %[1]s shows values; a last one that is a non-nil error ends the cell.
func %[1]s(values ...any) {
	if err, ok := values[len(values)-1].(error); ok && err != nil {
		panic(err)
	}
	%[2]s.Show(values...)
}

`, w.showOrPanic, w.named(notebookPath, "notebook"))
	}
	return w.showOrPanic
}

// tolerateHelper runs a cell that may fail.
func (w *writer) tolerateHelper() string {
	if w.tolerate == "" {
		w.tolerate = w.unique("tolerate")
		fmt.Fprintf(&w.declarations, `// %[1]s runs a cell that may fail: the program goes on.
func %[1]s(cell func()) {
	defer func() {
		if r := recover(); r != nil {
			%[2]s.Fprintln(%[3]s.Stderr, r)
		}
	}()
	cell()
}

`, w.tolerate, w.named("fmt", "fmt"), w.named("os", "os"))
	}
	return w.tolerate
}
