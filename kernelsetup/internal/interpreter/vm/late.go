package vm

import (
	"fmt"
	"go/ast"
	"go/token"
	"io"
	"os"
	"reflect"
	"runtime/debug"
	"strings"
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

// What goroutines write after the end of their cell is put aside for it, where
// code of cells has it written: then it is known whose it is. The standard
// streams alone do not tell.

// writing are the compiled functions, and methods of files, that write to a
// standard stream themselves: to which file, and the same to another writer.
var writing = map[string]struct {
	file func(w Window) *os.File
	text func(w Window, to io.Writer) (n int64, err error)
}{
	"fmt.Print":   {toStdout, func(w Window, to io.Writer) (int64, error) { return written(fmt.Fprint(to, w.Anys(0)...)) }},
	"fmt.Println": {toStdout, func(w Window, to io.Writer) (int64, error) { return written(fmt.Fprintln(to, w.Anys(0)...)) }},
	"fmt.Printf": {toStdout, func(w Window, to io.Writer) (int64, error) {
		return written(fmt.Fprintf(to, w.String(0), w.Anys(1)...))
	}},
	"(*os.File).Write":         {toReceiver, func(w Window, to io.Writer) (int64, error) { return written(to.Write(w.Value(0).Bytes())) }},
	"(*os.File).WriteString":   {toReceiver, func(w Window, to io.Writer) (int64, error) { return written(io.WriteString(to, w.String(0))) }},
	"(*os.File).ReadFrom":      {toReceiver, func(w Window, to io.Writer) (int64, error) { return io.Copy(to, w.Reader(0)) }},
	"runtime/debug.PrintStack": {toStderr, func(_ Window, to io.Writer) (int64, error) { return written(to.Write(debug.Stack())) }},
	"go/ast.Print": {toStdout, func(w Window, to io.Writer) (int64, error) {
		return 0, ast.Fprint(to, (*token.FileSet)(w.Pointer(0)), w.Value(1).Interface(), ast.NotNilFilter)
	}},
}

// writes reports whether a function is one of these.
func writes(fn *ssa.Function) bool { _, ok := writing[nativeName(fn)]; return ok }

func toStdout(Window) *os.File     { return os.Stdout }
func toStderr(Window) *os.File     { return os.Stderr }
func toReceiver(w Window) *os.File { return (*os.File)(w.Receiver()) }

func written(n int, err error) (int64, error) { return int64(n), err }

// inItsPlace is call, a function or method by its full name, with what it writes
// itself to a standard stream in its place: with its cell after the end of the
// run, on standard error in its order. What writes by standard sees to both.
func inItsPlace(name string, call ext, sig *sigLayout, isMethod bool) ext {
	call = handedOver(call, sig)
	to := writing[name]
	if to.file == nil && strings.HasPrefix(name, "(*os.File).Write") {
		to.file = toReceiver
	}
	if call == nil || to.file == nil {
		return call
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		w := windowOf(t, sig, s, p, isMethod)
		file := to.file(w)
		stream := streamOf(file)
		if stream != "" && to.text != nil && t.origin().late(stream) != nil {
			n, err := to.text(w, late{standard{file}, t.origin()})
			for i := range sig.results {
				if i == len(sig.results)-1 {
					w.Set(i, reflect.ValueOf(&err).Elem())
				} else {
					w.SetInt(i, n)
				}
			}
			return
		}
		if stream != stderr {
			call(t, s, p)
			return
		}
		before, after := stderrOrder()
		before()
		call(t, s, p)
		after()
	}
}

// late writes to a standard stream for a run that has ended.
type late struct {
	to  standard
	run *Run
}

func (l late) Write(b []byte) (int, error) { return l.to.write(l.run, b) }

// origin returns the run that the goroutine comes from. A cell may have given
// it labels of its own.
func (t *Thread) origin() *Run {
	if run := owner(); run != nil {
		return run
	}
	return t.run
}
