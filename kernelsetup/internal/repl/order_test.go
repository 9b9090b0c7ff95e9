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
	for _, c := range []struct{ name, write, err string }{
		{"Fprintln", `fmt.Fprintln(os.Stderr, "err", i)`, "err "},
		{"method", `os.Stderr.WriteString(fmt.Sprintln("err", i))`, "err "},
		{"interface", `var w io.Writer = os.Stderr; w.Write([]byte(fmt.Sprintln("err", i)))`, "err "},
		{"io.WriteString", `io.WriteString(os.Stderr, fmt.Sprintln("err", i))`, "err "},
		{"println", `println("err", i)`, "err "},
		{"log", `log.Println("err", i)`, "err "},
		{"logger", `logger.Println("err", i)`, "err "},
		{"logger behind an interface", `var p interface{ Println(...any) } = logger; p.Println("err", i)`, "err "},
		{"ReadFrom behind an interface", `var r io.ReaderFrom = os.Stderr; r.ReadFrom(strings.NewReader(fmt.Sprintln("err", i)))`, "err "},
		{"goroutine", `done := make(chan bool); go func() { fmt.Fprintln(os.Stderr, "err", i); done <- true }(); <-done`, "err "},
		{"function value", `p := fmt.Fprintln; p(os.Stderr, "err", i)`, "err "},
		{"bufio.Writer", `b := bufio.NewWriter(os.Stderr); fmt.Fprintln(b, "err", i); b.Flush()`, "err "},
		{"slog handler", `h.Info(fmt.Sprint(i))`, "msg="},
		{"template", `template.Must(template.New("").Parse("err {{.}}\n")).Execute(os.Stderr, i)`, "err "},
		{"deferred", `func() { defer fmt.Fprintln(os.Stderr, "err", i) }()`, "err "},
	} {
		mu.Lock()
		got.Reset()
		mu.Unlock()
		out := ev.Run(context.Background(), execution.Source{Name: "cell 1", Text: fmt.Sprintf(`import ("bufio"; "fmt"; "io"; "log"; "log/slog"; "os"; "strings"; "text/template")
log.SetFlags(0)
only := func(_ []string, a slog.Attr) slog.Attr { if a.Key != slog.MessageKey { return slog.Attr{} }; return a }
logger := log.New(os.Stderr, "", 0)
_, _, _, _ = io.EOF, strings.NewReader, bufio.NewWriter, template.Must
h, i := slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{ReplaceAttr: only})), 0
for i := range %d { fmt.Println("out", i); %s }`, turns, c.write)})
		o.Flush()
		if out.Failure != nil {
			t.Errorf("%s: %v", c.name, out.Failure)
			continue
		}
		var want strings.Builder
		for i := range turns {
			fmt.Fprintf(&want, "out %d\n%s%d\n", i, c.err, i)
		}
		mu.Lock()
		if got.String() != want.String() {
			t.Errorf("%s: the order is lost: %.200q…", c.name, got.String())
		}
		mu.Unlock()
	}
}
