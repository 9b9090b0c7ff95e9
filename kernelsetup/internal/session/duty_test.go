package session

import (
	"context"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/worker"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// faulty is an evaluator that fails in every way one can.
type faulty struct{ hang chan struct{} }

func (f faulty) Run(ctx context.Context, s execution.Source) execution.Outcome {
	switch s.Text {
	case "panic":
		panic("on purpose")
	case "goexit":
		runtime.Goexit()
	case "nil":
		var p *int
		*p = 1
	case "hang":
		<-f.hang
	}
	return execution.Outcome{Result: notebook.TextBundle("fine")}
}

func (f faulty) Call(ctx context.Context, g func()) *execution.Failure { g(); return nil }

func (f faulty) Complete(source string, _ int) execution.Completion {
	f.Run(nil, execution.Source{Text: source})
	return execution.Completion{}
}

func (f faulty) Inspect(source string, _, _ int) (notebook.Bundle, bool) {
	f.Run(nil, execution.Source{Text: source})
	return nil, false
}

func (f faulty) Completeness(source string) (execution.Completeness, string) {
	f.Run(nil, execution.Source{Text: source})
	return execution.Complete, ""
}

// Every request is answered once and followed by idle, whatever becomes of
// its handler, and the next one is served.
func TestFailedHandlersAreAnswered(t *testing.T) {
	f := faulty{make(chan struct{})}
	before := patience
	patience = 200 * time.Millisecond
	defer func() { patience = before }()
	k := startTalk(t, Options{Worker: worker.Here(f)})
	for _, kind := range []string{"execute_request", "complete_request", "inspect_request", "is_complete_request"} {
		for _, code := range []string{"panic", "goexit", "nil", "hang"} {
			id := k.send(kind, map[string]any{"code": code, "cursor_pos": 0})
			if code == "hang" {
				time.Sleep(30 * time.Millisecond)
				k.sendOn(k.control, "interrupt_request", nil)
			}
			reply := k.answer(id, 1500*time.Millisecond)
			text, _ := reply["evalue"].(string)
			if reply["status"] != "error" || !strings.Contains(text, "internal error of the kernel") {
				t.Errorf("%s %q: replied %v", kind, code, reply)
			}
			if n := len(k.published(id, "error")); kind == "execute_request" && n != 1 {
				t.Errorf("%q: %d error messages", code, n)
			}
			if id, reply := k.run("", time.Second); reply["status"] != "ok" || len(k.published(id, "execute_result")) != 1 {
				t.Fatalf("after %s %q the next cell got %v", kind, code, reply)
			}
		}
	}
	// What was given up comes back and must not be heard.
	close(f.hang)
	time.Sleep(50 * time.Millisecond)
	k.run("", time.Second)
	replies := map[string]int{}
	k.mu.Lock()
	defer k.mu.Unlock()
	for _, h := range k.messages {
		if h.channel == "shell" {
			replies[h.parent]++
		}
	}
	for id, n := range replies {
		if n != 1 {
			t.Errorf("%s was answered %d times", id, n)
		}
	}
}
