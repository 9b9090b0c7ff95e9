package vm

import (
	"os"
	"strings"
	"sync/atomic"
	"unsafe"
)

// Standard output and standard error are two pipes, and whoever reads them
// cannot see which of two texts was written first. So what writes to standard
// error waits until all before it was read, and until it was read itself.

// around is what is called around a write to standard error.
type around struct{ before, after func() }

// onStderr is the process's, as its streams are.
var onStderr atomic.Pointer[around]

// OnStderr sets what is called before and after cells have something written to
// standard error, whatever machine they run on.
func OnStderr(before, after func()) {
	onStderr.Store(&around{before, after})
	takeOverLog()
}

func stderrOrder() (before, after func()) {
	if o := onStderr.Load(); o != nil {
		return o.before, o.after
	}
	return func() {}, func() {}
}

// ordered is call, a function or method by its full name, between before and
// after where it writes to standard error itself. What writes by standard sees
// to its order.
func ordered(name string, call ext, sig *sigLayout, isMethod bool) ext {
	file := directly(name)
	if call == nil || file == nil {
		return call
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		if streamOf(file(windowOf(t, sig, s, p, isMethod))) != stderr {
			call(t, s, p)
			return
		}
		before, after := stderrOrder()
		before()
		call(t, s, p)
		after()
	}
}

// directly tells to which file a function or a method of files, by its full
// name, writes; nil for others.
func directly(name string) func(w Window) *os.File {
	if w, ok := writing[name]; ok {
		return w.file
	}
	if strings.HasPrefix(name, "(*os.File).Write") {
		return toReceiver
	}
	return nil
}

// writeStderr writes text there in its order.
func writeStderr(text []byte) {
	before, after := stderrOrder()
	before()
	os.Stderr.Write(text)
	after()
}
