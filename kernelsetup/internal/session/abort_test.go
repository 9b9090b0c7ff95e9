package session

import (
	"context"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/worker"
)

// failing is an evaluator whose cells fail when they say so.
type failing struct {
	mu    *sync.Mutex
	ran   *[]string
	fails chan struct{} // lets one of them fail
}

func (f failing) Run(_ context.Context, s execution.Source) execution.Outcome {
	f.mu.Lock()
	*f.ran = append(*f.ran, s.Text)
	f.mu.Unlock()
	if strings.HasPrefix(s.Text, "fail") {
		<-f.fails
		return execution.Outcome{Failure: &execution.Failure{Name: "failed", Value: s.Text, Traceback: []string{s.Text}}}
	}
	return execution.Outcome{}
}

func (f failing) Call(_ context.Context, g func()) *execution.Failure { g(); return nil }

// A burst of cells of which one fails: what follows is aborted, in the queue
// and on its way. What is sent after the error was seen runs. The front end's
// clock may be wrong and its dates coarse.
func TestRunAllStopsAtAnError(t *testing.T) {
	for _, clock := range []struct {
		ahead  time.Duration
		millis bool
	}{{0, false}, {time.Hour, false}, {-3 * time.Minute, false}, {0, true}, {7 * time.Second, true}} {
		f := failing{new(sync.Mutex), new([]string), make(chan struct{})}
		t.Run(clock.ahead.String(), func(t *testing.T) {
			k := startTalkAt(t, Options{Worker: worker.Here(f)}, clock.ahead, clock.millis)
			k.run("first", time.Minute)
			for round := range 15 {
				code := func(c string) string { return k.send("execute_request", map[string]any{"code": c}) }
				failed := code("fail")
				var burst []string
				for i := range 5 {
					if i == 3 && round%2 == 1 {
						time.Sleep(300 * time.Microsecond)
					}
					burst = append(burst, code("burst"))
				}
				time.Sleep(20 * time.Millisecond) // of dates that tell milliseconds, those right before the error say nothing
				f.fails <- struct{}{}
				if r := k.answer(failed, time.Minute); r["status"] != "error" {
					t.Fatalf("%v", r)
				}
				after := code("after")
				for _, id := range burst {
					if r := k.answer(id, time.Minute); r["status"] != "aborted" {
						t.Errorf("round %d: a cell sent before the error was seen: %v", round, r["status"])
					}
				}
				if r := k.answer(after, time.Minute); r["status"] != "ok" {
					t.Errorf("round %d: a cell sent after the error was seen: %v", round, r["status"])
				}
			}
		})
		for _, ran := range *f.ran {
			if ran == "burst" {
				t.Error("a cell ran behind a failed one")
				break
			}
		}
	}
}

// Of dates that tell milliseconds those of a burst are all the same: a cell of it
// that fails at once says so when the others are here.
func TestQuickFailureWaitsForItsBurst(t *testing.T) {
	f := failing{new(sync.Mutex), new([]string), make(chan struct{})}
	k := startTalkAt(t, Options{Worker: worker.Here(f)}, 0, true)
	close(f.fails)
	for range 3 {
		began := time.Now()
		id := k.send("execute_request", map[string]any{"code": "fail"})
		if _, ok := k.until(id, time.Minute, func(h heard) bool { return h.kind == "error" || h.kind == "execute_reply" }); !ok || time.Since(began) < burstTime {
			t.Errorf("told after %v", time.Since(began))
		}
		k.answer(id, time.Minute)
	}
}

// What is on its way longer than the reply is known by its date.
func TestRequestOnItsWayIsTooLate(t *testing.T) {
	now := time.Now()
	request := func(session string, sent, came time.Duration) arrival {
		a := arrival{&protocol.Message{}, now.Add(came)}
		a.Header.Session, a.Header.Date = session, now.Add(sent).UTC().Format(time.RFC3339Nano)
		return a
	}
	const ms = time.Millisecond
	for _, c := range []struct {
		what       string
		sent, came time.Duration // after the reply left
		session    string
		want       bool
	}{
		{"queued", -50 * ms, -20 * ms, "a", true},
		{"queued by another", -50 * ms, -20 * ms, "b", true},
		{"on its way", -50 * ms, 10 * ms, "a", true},
		{"on its way for long", -50 * ms, 900 * ms, "a", true},
		{"sent on seeing the error", 4 * ms, 9 * ms, "a", false},
		{"sent later", 900 * ms, 905 * ms, "a", false},
		{"of another", -50 * ms, 10 * ms, "b", false},
	} {
		for _, ahead := range []time.Duration{0, time.Hour, -time.Hour} {
			s := newStopping()
			s.came(request("a", -time.Second+ahead, -time.Second+5*ms)) // five milliseconds away
			failed := request("a", -100*ms+ahead, -95*ms)
			s.came(failed)
			s.failed(failed.Message)
			s.at = now
			a := request(c.session, c.sent+ahead, c.came)
			s.came(a)
			if got := s.tooLate(a); got != c.want {
				t.Errorf("%s, clock ahead by %v: too late is %v", c.what, ahead, got)
			}
		}
	}
}
