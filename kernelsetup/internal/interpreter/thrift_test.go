package interpreter

import (
	"errors"
	"runtime"
	"runtime/debug"
	"strings"
	"testing"
)

// While packages are loaded the collector follows the size of the heap, and
// afterwards the user's choice again.
func TestThriftEnds(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(100))
	percent := func() int {
		p := debug.SetGCPercent(100)
		debug.SetGCPercent(p)
		return p
	}
	var th thrift
	th.begin(muchText-1, 0)
	if th.kept || percent() != 100 {
		t.Error("kept for little text")
	}
	if th.begin(muchText, fewBytes+1); th.kept {
		t.Error("kept while the user has much in memory")
	}
	runtime.GC()
	th.begin(muchText, fewBytes)
	if !th.kept || percent() != loadingGrowth {
		t.Errorf("kept %v at %d", th.kept, percent())
	}
	th.end()
	runtime.GC()
	if th.kept || percent() != 100 {
		t.Errorf("%d afterwards", percent())
	}
	debug.SetGCPercent(70)
	th.begin(muchText, 0)
	th.end()
	if p := percent(); p != 70 {
		t.Errorf("a chosen 70 became %d", p)
	}
}

// A package that is loaded for a question, or after a death, ends as one that a
// cell imports.
func TestThriftEndsAfterQuestions(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(100))
	const path = "example.com/garage/big"
	big := map[string]string{"big/big.go": "package big\n\nconst A = 1\n\n" + strings.Repeat("// a line\n", muchText/10)}
	for name, load := range map[string]func(e *Interpreter) error{
		"check": func(e *Interpreter) error {
			if errs := e.Check("import \"" + path + "\"\nbig.A").Errors; len(errs) > 0 {
				return errs[0]
			}
			return nil
		},
		"package": func(e *Interpreter) error { _, err := e.Package(path); return err },
		"restore": func(e *Interpreter) error {
			for _, l := range e.Restore(Saved{Imports: map[string]string{"big": path}}).Left {
				return errors.New(l.Why)
			}
			return nil
		},
	} {
		nb, _ := moduleNotebook(t, big)
		runtime.GC()
		if err := load(nb.e); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if p := debug.SetGCPercent(100); p != 100 {
			t.Errorf("%s leaves the collector at %d", name, p)
		}
	}
}
