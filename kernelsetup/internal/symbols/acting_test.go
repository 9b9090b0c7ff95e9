package symbols

import (
	"net/http"
	"net/http/httptest"
	"testing"
)

// Packages that register handlers on import do so when a cell imports them,
// once.
func TestPackagesThatActOnImport(t *testing.T) {
	for path, url := range map[string]string{"expvar": "/debug/vars", "net/http/pprof": "/debug/pprof/cmdline"} {
		r := httptest.NewRequest("GET", url, nil)
		if _, pattern := http.DefaultServeMux.Handler(r); pattern != "" {
			t.Errorf("%s acts without having been imported: %s", path, pattern)
		}
		p := Default().Lookup(path)
		p.Imported()
		p.Imported()
		if _, pattern := http.DefaultServeMux.Handler(r); pattern != "GET "+url {
			t.Errorf("%s, imported, serves %q", path, pattern)
		}
	}
	for _, path := range Default().Paths() {
		if p := Default().Lookup(path); p.Imported != nil && path != "expvar" && path != "net/http/pprof" {
			t.Errorf("%s acts on import", path)
		}
	}
}
