//go:build linux

package repl

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/stdstreams"
)

// What a cell writes by turns to standard output and standard error arrives in
// that order, whichever way it writes.
func TestStreamsKeepTheirOrder(t *testing.T) {
	ev, err := New("")
	if err != nil {
		t.Fatal(err)
	}
	var mu sync.Mutex
	var got strings.Builder
	o, err := stdstreams.Start(func(name stdstreams.Name, text string) {
		mu.Lock()
		defer mu.Unlock()
		got.WriteString(text)
	})
	if err != nil {
		t.Fatal(err)
	}
	defer o.Stop()
	const turns = 500
	for _, c := range []struct{ name, write string }{
		{"Fprintln", `fmt.Fprintln(os.Stderr, "err", i)`},
		{"method", `os.Stderr.WriteString(fmt.Sprintln("err", i))`},
		{"interface", `var w io.Writer = os.Stderr; w.Write([]byte(fmt.Sprintln("err", i)))`},
		{"io.WriteString", `io.WriteString(os.Stderr, fmt.Sprintln("err", i))`},
		{"println", `println("err", i)`},
		{"log", `log.Println("err", i)`},
		{"logger", `logger.Println("err", i)`},
		{"logger behind an interface", `var p interface{ Println(...any) } = logger; p.Println("err", i)`},
		{"ReadFrom behind an interface", `var r io.ReaderFrom = os.Stderr; r.ReadFrom(strings.NewReader(fmt.Sprintln("err", i)))`},
		{"goroutine", `done := make(chan bool); go func() { fmt.Fprintln(os.Stderr, "err", i); done <- true }(); <-done`},
		{"deferred", `func() { defer fmt.Fprintln(os.Stderr, "err", i) }()`},
	} {
		mu.Lock()
		got.Reset()
		mu.Unlock()
		out := ev.Run(context.Background(), execution.Source{Name: "cell 1", Text: fmt.Sprintf(`import ("fmt"; "io"; "log"; "os"; "strings")
log.SetFlags(0)
logger := log.New(os.Stderr, "", 0)
_, _ = io.EOF, strings.NewReader
for i := range %d { fmt.Println("out", i); %s }`, turns, c.write)})
		o.Flush()
		if out.Failure != nil {
			t.Errorf("%s: %v", c.name, out.Failure)
			continue
		}
		var want strings.Builder
		for i := range turns {
			fmt.Fprintf(&want, "out %d\nerr %d\n", i, i)
		}
		mu.Lock()
		if got.String() != want.String() {
			t.Errorf("%s: the order is lost: %.200q…", c.name, got.String())
		}
		mu.Unlock()
	}
}
