package vm

import (
	"log"
	"os"
	"reflect"
	"strings"
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

// Standard output and standard error are two pipes, and whoever reads them
// cannot see which of two texts was written first. So what writes to standard
// error waits until all before it was read, and until it was read itself.

// OnStderr sets what is called before and after interpreted code has something
// written to standard error.
func (m *Machine) OnStderr(before, after func()) { m.before, m.after = before, after }

// ordered returns call between before and after where toStderr says that it
// writes to standard error.
func (m *Machine) ordered(call ext, toStderr func(t *Thread, s, p unsafe.Pointer) bool) ext {
	if call == nil || toStderr == nil || m.before == nil {
		return call
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		if !toStderr(t, s, p) {
			call(t, s, p)
			return
		}
		m.before()
		call(t, s, p)
		m.after()
	}
}

// stderrWriter tells when a compiled function writes to standard error; nil
// for those of which it is not known.
func (m *Machine) stderrWriter(fn *ssa.Function) func(t *Thread, s, p unsafe.Pointer) bool {
	name := nativeName(fn)
	at := func(i int) int32 { return int32(m.funcLayout(fn).params[i].p) * 8 }
	switch {
	case name == "fmt.Fprint", name == "fmt.Fprintf", name == "fmt.Fprintln", name == "io.WriteString":
		data := at(0) + 8
		return func(t *Thread, s, p unsafe.Pointer) bool { return *pp(p, data) == unsafe.Pointer(os.Stderr) }
	case strings.HasPrefix(name, "(*os.File).Write"), name == "(*os.File).ReadFrom":
		recv := at(0)
		return func(t *Thread, s, p unsafe.Pointer) bool { return *pp(p, recv) == unsafe.Pointer(os.Stderr) }
	case strings.HasPrefix(name, "(*log.Logger)."):
		recv := at(0)
		return func(t *Thread, s, p unsafe.Pointer) bool {
			l := (*log.Logger)(*pp(p, recv))
			return l != nil && l.Writer() == os.Stderr
		}
	case strings.HasPrefix(name, "log."), strings.HasPrefix(name, "log/slog."):
		return func(t *Thread, s, p unsafe.Pointer) bool { return log.Writer() == os.Stderr }
	}
	return nil
}

// stderrMethod is stderrWriter for a method reached through an interface.
func stderrMethod(rt reflect.Type, name string) func(t *Thread, s, p unsafe.Pointer) bool {
	if rt != reflect.TypeFor[*os.File]() || !strings.HasPrefix(name, "Write") {
		return nil
	}
	return func(t *Thread, s, p unsafe.Pointer) bool { return t.recv == unsafe.Pointer(os.Stderr) }
}

// writeStderr writes text there in its order.
func (m *Machine) writeStderr(text []byte) {
	if m.before == nil {
		os.Stderr.Write(text)
		return
	}
	m.before()
	os.Stderr.Write(text)
	m.after()
}
