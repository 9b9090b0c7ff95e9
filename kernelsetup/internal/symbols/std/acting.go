package std

import (
	"expvar"
	"net/http"
	"net/http/pprof"
	"sync"
)

// Packages that act on the whole program when they are imported do so when a
// cell imports them, and not because they are part of the kernel.

func init() { http.DefaultServeMux = http.NewServeMux() } // without what expvar and pprof have registered

var acting = map[string]func(){
	"expvar": sync.OnceFunc(func() { http.Handle("GET /debug/vars", expvar.Handler()) }),
	"net/http/pprof": sync.OnceFunc(func() {
		http.HandleFunc("GET /debug/pprof/", pprof.Index)
		http.HandleFunc("GET /debug/pprof/cmdline", pprof.Cmdline)
		http.HandleFunc("GET /debug/pprof/profile", pprof.Profile)
		http.HandleFunc("GET /debug/pprof/symbol", pprof.Symbol)
		http.HandleFunc("GET /debug/pprof/trace", pprof.Trace)
	}),
}
