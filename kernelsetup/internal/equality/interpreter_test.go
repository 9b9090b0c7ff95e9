package equality_test

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/equality"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// Every program of the suite prints on the interpreter what its compiled form
// printed: the output beside it comes from go build and a run of the binary
// (make equality), so the compiler is the judge.
func TestEngineEqualsCompiler(t *testing.T) {
	files, err := equality.Read("testdata")
	if err != nil {
		t.Fatal(err)
	}
	count := 0
	for _, f := range files {
		for _, p := range f.Programs {
			count++
			t.Run(f.Section+"/"+p.Name, func(t *testing.T) {
				output, failure := run(t, p)
				if output != p.Output {
					t.Errorf("printed\n%s\nthe compiled program printed\n%s", output, p.Output)
				}
				if !sameFailure(failure, p.Failure) {
					t.Errorf("ended with %q, the compiled program with %q", failure, p.Failure)
				}
			})
		}
	}
	if count < 400 {
		t.Errorf("the suite has %d programs, want at least 400", count)
	}
}

// sameFailure compares the interpreter's error with the exit line of the compiled
// program: the message after "panic:" must be part of the error.
func sameFailure(failure, exit string) bool {
	if failure == "" || exit == "" {
		return failure == exit
	}
	_, message, _ := strings.Cut(exit, ": ")
	message = strings.TrimPrefix(message, "panic: ")
	message = strings.TrimPrefix(message, "fatal error: ")
	message, _, _ = strings.Cut(message, " [recovered]")
	switch {
	case strings.Contains(message, "deadlock"):
		return strings.Contains(failure, "deadlock")
	case strings.Contains(message, "goroutine stack exceeds"):
		return strings.Contains(failure, "stack overflow")
	}
	return strings.Contains(failure, strings.TrimSpace(message))
}

// run executes the cells on a new interpreter until one fails.
func run(t *testing.T, p *equality.Program) (output, failure string) {
	e, err := interpreter.New(interpreter.Options{Library: symbols.Default()})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	output = capture(t, func() {
		for i, source := range p.Cells {
			result := e.Execute(ctx, interpreter.Cell{Name: fmt.Sprintf("cell %d", i+1), Source: source})
			failure = ""
			if result.Err != nil {
				failure = result.Err.Error()
			} else if len(result.Values) > 0 {
				if _, err := result.Failing(); err != nil {
					failure = err.Error()
				} else {
					show(result.Values)
				}
			}
			if failure != "" && (i >= len(p.MayFail) || !p.MayFail[i]) {
				return
			}
			failure = ""
		}
	})
	return output, failure
}

func show(values []interpreter.Value) {
	var list []any
	for _, v := range values {
		if v.Value.IsValid() {
			list = append(list, v.Value.Interface())
		} else {
			list = append(list, nil)
		}
	}
	notebook.Show(list...)
}

// capture returns what f writes to the standard output.
func capture(t *testing.T, f func()) string {
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	saved := os.Stdout
	os.Stdout = w
	var text []byte
	var wg sync.WaitGroup
	wg.Go(func() { text, _ = io.ReadAll(r) })
	f()
	os.Stdout = saved
	w.Close()
	wg.Wait()
	return string(text)
}
