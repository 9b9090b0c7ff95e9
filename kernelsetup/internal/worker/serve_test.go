package worker

import (
	"context"
	"io"
	"runtime"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/ipc"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// waits is an evaluator whose cells end when they are let go, or interrupted.
type waits struct{ goOn chan struct{} }

func (w waits) Run(ctx context.Context, s execution.Source) execution.Outcome {
	switch s.Text {
	case "ends its goroutine":
		runtime.Goexit()
	case "at once":
	default:
		select {
		case <-w.goOn:
		case <-ctx.Done():
			return execution.Outcome{Failure: &execution.Failure{Name: "interrupted"}}
		}
	}
	return execution.Outcome{Result: notebook.TextBundle(s.Text)}
}

func (waits) Call(_ context.Context, f func()) *execution.Failure { f(); return nil }

// Requests are answered whatever others do, each once; an interrupt reaches
// its own; what answers them does not become more and more.
func TestRequestsOverlap(t *testing.T) {
	r1, w1 := io.Pipe()
	r2, w2 := io.Pipe()
	ours, goOn := ipc.NewConn(r1, w2), make(chan struct{})
	gone := make(chan error, 1)
	go func() { gone <- Serve(waits{goOn}, ipc.NewConn(r2, w1)) }()
	replies := make(chan ipc.Message)
	go func() {
		defer close(replies)
		for {
			m, err := ours.Read()
			if err != nil {
				return
			}
			if m.Kind == ipc.Reply {
				replies <- m
			}
		}
	}()
	id := uint64(0)
	ask := func(text string) uint64 {
		id++
		ours.Write(ipc.New(ipc.Run, id, "cell", text, ""))
		return id
	}
	answer := func() ipc.Message {
		t.Helper()
		select {
		case m := <-replies:
			return m
		case <-time.After(10 * time.Second):
			t.Fatal("no answer")
			panic("unreachable")
		}
	}
	for range 3 {
		ask("at once")
		answer()
	}
	before := runtime.NumGoroutine()
	first, second := ask("waits"), ask("waits")
	for range 100 {
		if want, m := ask("at once"), answer(); m.ID != want || m.Outcome().Failure != nil {
			t.Fatalf("request %d was answered by %d, %+v", want, m.ID, m.Outcome())
		}
	}
	if want, m := ask("ends its goroutine"), answer(); m.ID != want || m.Outcome().Failure == nil {
		t.Fatalf("an ended goroutine was answered by %d, %+v", m.ID, m.Outcome())
	}
	ours.Write(ipc.New(ipc.Interrupt, second))
	if m := answer(); m.ID != second || m.Outcome().Failure == nil {
		t.Fatalf("interrupted %d, %d was answered: %+v", second, m.ID, m.Outcome())
	}
	close(goOn)
	if m := answer(); m.ID != first || m.Outcome().Failure != nil {
		t.Fatalf("%d was answered, %+v", m.ID, m.Outcome())
	}
	for range 20 {
		ask("at once")
		answer()
	}
	for end := time.Now().Add(5 * time.Second); runtime.NumGoroutine() > before+1; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("%d goroutines more than before", runtime.NumGoroutine()-before)
		}
	}
	ours.Close()
	<-gone
}
