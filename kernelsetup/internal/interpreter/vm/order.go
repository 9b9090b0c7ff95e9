package vm

import (
	"io"
	"log"
	"os"
	"strings"
	"unsafe"
)

// Standard output and standard error are two pipes, and whoever reads them
// cannot see which of two texts was written first. So what writes to standard
// error waits until all before it was read, and until it was read itself.

// OnStderr sets what is called before and after interpreted code has something
// written to standard error.
func (m *Machine) OnStderr(before, after func()) { m.before, m.after = before, after }

// ordered is call, a function or method by its full name, between before and
// after where it writes to standard error.
func (m *Machine) ordered(name string, call ext, sig *sigLayout, isMethod bool) ext {
	to := destination(name)
	if call == nil || to == nil || m.before == nil {
		return call
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		if to(windowOf(t, sig, s, p, isMethod)) != os.Stderr {
			call(t, s, p)
			return
		}
		m.before()
		call(t, s, p)
		m.after()
	}
}

// destination tells where a compiled function or method, by its full name,
// writes; nil for those of which it is not known.
func destination(name string) func(w Window) io.Writer {
	switch {
	case name == "fmt.Print", name == "fmt.Printf", name == "fmt.Println":
		return func(Window) io.Writer { return os.Stdout }
	case name == "fmt.Fprint", name == "fmt.Fprintf", name == "fmt.Fprintln", name == "io.WriteString":
		return func(w Window) io.Writer { return w.Writer(0) }
	case strings.HasPrefix(name, "(*os.File).Write"), name == "(*os.File).ReadFrom":
		return func(w Window) io.Writer { return (*os.File)(w.Receiver()) }
	case strings.HasPrefix(name, "(*log.Logger)."):
		return func(w Window) io.Writer {
			if l := (*log.Logger)(w.Receiver()); l != nil {
				return l.Writer()
			}
			return nil
		}
	case strings.HasPrefix(name, "log."), strings.HasPrefix(name, "log/slog."):
		return func(Window) io.Writer { return log.Writer() }
	}
	return nil
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
