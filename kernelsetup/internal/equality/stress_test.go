//go:build proof

package equality_test

import (
	"os"
	"runtime"
	"runtime/debug"
	"strconv"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/equality"
)

// The interpreter lays out types, stacks and func values by hand. Under constant
// garbage collection, with its memory handed out again at once, a pointer that
// the collector does not see shows itself as a wrong output or a crash.
func TestSuiteUnderGarbageCollection(t *testing.T) {
	files, err := equality.Read("testdata")
	if err != nil {
		t.Fatal(err)
	}
	rounds := 1
	if n, err := strconv.Atoi(os.Getenv("ROUNDS")); err == nil {
		rounds = n
	}
	only := os.Getenv("PROGRAM")
	defer debug.SetGCPercent(debug.SetGCPercent(1))
	stop := make(chan struct{})
	defer close(stop)
	go func() {
		for {
			select {
			case <-stop:
				return
			default:
				runtime.GC()
			}
		}
	}()
	for range rounds {
		for _, f := range files {
			for _, p := range f.Programs {
				if only != "" && p.Name != only {
					continue
				}
				output, failure := run(t, p)
				if output != p.Output || !sameFailure(failure, p.Failure) {
					t.Errorf("%s/%s printed\n%s\nand ended with %q; the compiled program printed\n%s\nand ended with %q",
						f.Section, p.Name, output, failure, p.Output, p.Failure)
				}
			}
		}
	}
}
