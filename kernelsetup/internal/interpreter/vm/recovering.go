package vm

import (
	"runtime"
	"strings"
)

// recovering are the compiled functions that recover from what they call, and
// go on: a handler that panics fails its request, not the server. One whose
// name ends in a dot stands for its function literals.
var recovering = map[string]bool{
	"net/http.(*conn).serve":                 true,
	"net/http.(*http2serverConn).runHandler": true,
	"net/http.(*timeoutHandler).ServeHTTP.":  true,
	"fmt.(*pp).handleMethods":                true,
	"text/template.safeCall":                 true,
	"log/slog.Value.Resolve":                 true,
	"log/slog.(*handleState).appendValue":    true,
}

// recoveredAbove reports whether compiled code that called the calling
// function, directly or not, recovers from panics. It is asked on goroutines
// that compiled code has started, where a panic that nobody recovers would be
// the end of the process.
func recoveredAbove() bool {
	var pcs [256]uintptr
	frames := runtime.CallersFrames(pcs[:runtime.Callers(2, pcs[:])])
	for {
		f, more := frames.Next()
		name := f.Function
		if i := strings.LastIndex(name, ".func"); i >= 0 && recovering[name[:i+1]] || recovering[name] {
			return true
		}
		if !more {
			return false
		}
	}
}
