package vm

import (
	"os"
	"strings"
	"unsafe"
)

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
