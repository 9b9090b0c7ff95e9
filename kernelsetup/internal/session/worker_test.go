package session

import (
	"context"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/worker"
)

// mortal is a worker whose process dies of the cell "die", as far as the
// session can see.
type mortal struct {
	*worker.Worker
	host     execution.Host
	released atomic.Int64
}

func (m *mortal) Attach(h execution.Host) error {
	m.host = h
	return m.Worker.Attach(h)
}

func (m *mortal) Run(ctx context.Context, s execution.Source, terms execution.Terms) execution.Outcome {
	if s.Text != "die" {
		return m.Worker.Run(ctx, s, terms)
	}
	terms.Begin()
	time.Sleep(50 * time.Millisecond)
	m.host.Lost(execution.Loss{})
	return execution.Outcome{Died: true, Failure: &execution.Failure{Name: "process died", Value: "it died", Traceback: []string{"it died"}}}
}

func (m *mortal) Release() []string {
	m.released.Add(1)
	return []string{"stopped cell 1: a goroutine"}
}

// When the process dies, cells that wait are not run, whatever the front end
// wished for errors; one sent later is.
func TestNothingFollowsADeath(t *testing.T) {
	k := startTalk(t, Options{Worker: &mortal{Worker: worker.Here(faulty{})}})
	first := k.send("execute_request", map[string]any{"code": "die", "stop_on_error": false})
	second := k.send("execute_request", map[string]any{"code": "x", "stop_on_error": false})
	if reply := k.answer(first, 2*time.Second); reply["status"] != "error" || reply["evalue"] != "it died" {
		t.Errorf("%v", reply)
	}
	if reply := k.answer(second, 2*time.Second); reply["status"] != "aborted" {
		t.Errorf("the next cell: %v", reply)
	}
	if _, reply := k.run("x", 2*time.Second); reply["status"] != "ok" {
		t.Errorf("a later cell: %v", reply)
	}
}

// An interrupt while no cell runs stops what earlier ones have left running;
// this and the death of an idle process are told below the last cell.
func TestBetweenCells(t *testing.T) {
	m := &mortal{Worker: worker.Here(faulty{})}
	k := startTalk(t, Options{Worker: m})
	id, _ := k.run("x", 2*time.Second)
	k.sendOn(k.control, "interrupt_request", nil)
	m.host.Lost(execution.Loss{Text: "it died\n"})
	for range 100 {
		if len(k.published(id, "stream")) >= 2 {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	text := ""
	for _, h := range k.published(id, "stream") {
		text += h.content["text"].(string)
	}
	if m.released.Load() != 1 || !strings.Contains(text, "stopped cell 1") || !strings.Contains(text, "it died") {
		t.Errorf("%d releases, told %q", m.released.Load(), text)
	}
}

// speechless is a worker that cannot begin.
type speechless struct{ *worker.Worker }

func (speechless) Run(context.Context, execution.Source, execution.Terms) execution.Outcome {
	return execution.Outcome{Failure: &execution.Failure{Name: "no process", Value: "none", Traceback: []string{"none"}}}
}

// That the kernel is busy is told first, also where no cell has begun.
func TestBusyComesFirst(t *testing.T) {
	for _, c := range []struct {
		w    execution.Worker
		code any
		want string
	}{
		{worker.Here(faulty{}), "x", "status execute_input status"},
		{speechless{worker.Here(faulty{})}, "x", "status error status"},
		{worker.Here(faulty{}), 7, "status status"}, // not as the protocol wants it
	} {
		k := startTalk(t, Options{Worker: c.w})
		id := k.send("execute_request", map[string]any{"code": c.code})
		if k.answer(id, time.Minute) == nil {
			t.Fatal("no answer")
		}
		var kinds []string
		k.mu.Lock()
		for _, m := range k.messages {
			if m.channel == "iopub" && m.parent == id && m.kind != "execute_result" {
				kinds = append(kinds, m.kind)
			}
		}
		k.mu.Unlock()
		if got := strings.Join(kinds, " "); got != c.want {
			t.Errorf("%v: published %s, want %s", c.code, got, c.want)
		}
	}
}
