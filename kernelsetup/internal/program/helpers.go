package program

import (
	"go/types"
	"strings"
)

// The functions that a program needs to do what a notebook does by itself;
// each is written once, where it is needed first.

// named returns the program's name of a package that the program itself needs.
func (w *writer) named(path, name string) string {
	return w.importName(types.NewPackage(path, name), name)
}

// helper writes a function of the program once and returns its name. In the
// text %N is the name, and %fmt, %os and so on are packages.
func (w *writer) helper(name, text string, packages ...string) string {
	if w.helpers[name] == "" {
		w.helpers[name] = w.fresh(name)
		pairs := []string{"%N", w.helpers[name]}
		for _, path := range packages {
			short := path[strings.LastIndex(path, "/")+1:]
			pairs = append(pairs, "%"+short, w.named(path, short))
		}
		w.declarations.WriteString(strings.NewReplacer(pairs...).Replace(text))
	}
	return w.helpers[name]
}

// errorOf is shared by the two helpers below: a nil pointer is shown, and a
// nil error behind other values is not.
func (w *writer) errorOf() string {
	return w.helper("errorOf", `// %N returns the last of values where it is an error that ends the cell, and
// the values to show else.
func %N(values []any) ([]any, error) {
	last := len(values) - 1
	if values[last] == nil && last > 0 {
		return values[:last], nil
	}
	err, ok := values[last].(error)
	if v := %reflect.ValueOf(values[last]); !ok || v.Kind() == %reflect.Pointer && v.IsNil() {
		return values, nil
	}
	return nil, err
}

`, "reflect")
}

// showOrFailHelper shows values, or ends the program with the error.
func (w *writer) showOrFailHelper() string {
	errorOf := w.errorOf()
	return w.helper("showOrFail", `// %N shows values; a last one that is a non-nil error ends the program.
func %N(values ...any) {
	show, err := `+errorOf+`(values)
	if err != nil {
		%fmt.Fprintln(%os.Stderr, err)
		%os.Exit(1)
	}
	%notebook.Show(show...)
}

`, "fmt", "os", notebookPath)
}

// showOrPanicHelper shows values, or panics with the error, for a cell that
// may fail.
func (w *writer) showOrPanicHelper() string {
	errorOf := w.errorOf()
	return w.helper("showOrPanic", `// %N shows values; a last one that is a non-nil error ends the cell.
func %N(values ...any) {
	show, err := `+errorOf+`(values)
	if err != nil {
		panic(err)
	}
	%notebook.Show(show...)
}

`, notebookPath)
}

// tolerateHelper runs a cell that may fail.
func (w *writer) tolerateHelper() string {
	return w.helper("tolerate", `// %N runs a cell that may fail: the program goes on.
func %N(cell func()) {
	defer func() {
		if r := recover(); r != nil {
			%fmt.Fprintln(%os.Stderr, r)
		}
	}()
	cell()
}

`, "fmt", "os")
}

// timedHelper runs a cell and says how long it took.
func (w *writer) timedHelper() string {
	return w.helper("timed", `// %N runs a cell and says how long it took.
func %N(name string, cell func()) {
	began := %time.Now()
	defer func() { %fmt.Fprintln(%os.Stderr, name, "took", %time.Since(began).Round(%time.Microsecond)) }()
	cell()
}

`, "fmt", "os", "time")
}

// shellHelper runs command lines.
func (w *writer) shellHelper() string {
	return w.helper("shell", `// %N runs command lines; one that fails ends the program.
func %N(script string) {
	cmd := %exec.Command("sh", "-e", "-c", script)
	if %runtime.GOOS == "windows" {
		cmd = %exec.Command("cmd", "/c", %strings.ReplaceAll(script, "\n", " && "))
	}
	cmd.Stdout, cmd.Stderr = %os.Stdout, %os.Stderr
	if err := cmd.Run(); err != nil {
		panic(err)
	}
}

`, "os/exec", "os", "runtime", "strings")
}
