// Package supervisor has the cells of a notebook run in a process of their
// own, and outlives it: it says why that process died, starts another one,
// and has it bring back what was saved of the notebook. It never runs a cell
// again.
package supervisor

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/ipc"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/leftover"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/memory"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// Options say how the process is started that runs cells.
type Options struct {
	// Program and Args start it; behind them come the arguments that
	// Connect reads. Empty: this program with the argument Word.
	Program string
	Args    []string
	// Dir is the notebook's folder; empty: this process's.
	Dir string
	// Adopt has all processes ended that cells leave behind, wherever these
	// have moved. It is for a program that starts no others.
	Adopt bool
}

// Word is the command of this program that serves a supervisor.
const Word = "cells"

// patience is how long a cell may go on after an interrupt before its process
// is ended; the interpreter leaves a cell behind much earlier.
var patience = 10 * time.Second

// Supervisor is an execution.Worker whose cells run in another process.
type Supervisor struct {
	opt  Options
	host execution.Host
	last atomic.Uint64 // number of the last request

	session session

	mu      sync.Mutex
	child   *child // the present one
	closing bool
	saved   *saved   // what the last one has saved
	after   []string // cells that ran since, and the last before
	comms   map[string]bool
	notice  string // for the next cell: what was lost while none ran
	short   int    // processes that died young, one after another
}

// Start starts a process that runs cells.
func Start(opt Options) (*Supervisor, error) {
	if opt.Program == "" {
		program, err := os.Executable()
		if err != nil {
			return nil, err
		}
		opt.Program, opt.Args = program, []string{Word}
	}
	s := &Supervisor{opt: opt, session: session{pid: os.Getpid()}, comms: map[string]bool{}}
	if _, err := memory.Limit(); err != nil {
		s.notice = err.Error()
	}
	if opt.Adopt {
		adoptOrphans()
	}
	c, err := s.start()
	if err != nil {
		return nil, err
	}
	s.child = c
	return s, nil
}

// Attach sets who is told what cells put out.
func (s *Supervisor) Attach(h execution.Host) error {
	s.host = h
	s.child.attached()
	return nil
}

// current returns the process that runs cells.
func (s *Supervisor) current() *child {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.child
}

// Run has a cell run. If the process dies meanwhile, the outcome says so, once
// another one has taken over.
func (s *Supervisor) Run(ctx context.Context, source execution.Source, terms execution.Terms) execution.Outcome {
	s.mu.Lock()
	notice := s.notice
	s.notice = ""
	s.after = append(s.after, source.Name)
	if len(s.after) > 1000 {
		s.after = append(s.after[:1:1], s.after[len(s.after)-500:]...)
	}
	s.mu.Unlock()
	ask := ""
	if terms.Ask {
		ask = "ask"
	}
	reply, died := s.do(ctx, &request{kind: ipc.Run, cell: source.Name, ctx: ctx, begin: terms.Begin, waits: make(chan struct{})}, source.Name, source.Text, ask)
	out := execution.Outcome{Failure: died, Died: died != nil}
	if died == nil {
		out = reply.Outcome()
	}
	if notice != "" {
		out.Notices = append([]string{notice}, out.Notices...)
	}
	return out
}

// Message has a cell receive a message of the front end.
func (s *Supervisor) Message(ctx context.Context, comm string, data json.RawMessage) *execution.Failure {
	reply, died := s.do(ctx, &request{kind: ipc.Comm, cell: "a control", ctx: ctx}, comm, data)
	if died != nil {
		return died
	}
	var f *execution.Failure
	reply.Decode(0, &f)
	return f
}

// Complete asks the other process.
func (s *Supervisor) Complete(source string, cursor int) (c execution.Completion) {
	c.Start, c.End = cursor, cursor
	if reply, died := s.help(ipc.Complete, source, map[string]int{"c": cursor}); died == nil {
		reply.Decode(0, &c)
	}
	return c
}

// Inspect asks the other process.
func (s *Supervisor) Inspect(source string, cursor, detail int) (notebook.Bundle, bool) {
	reply, died := s.help(ipc.Inspect, source, map[string]int{"c": cursor, "d": detail})
	if died != nil {
		return notebook.TextBundle(died.Value), true
	}
	return reply.FormsFrom(1), reply.Part(0) != ""
}

// Completeness asks the other process.
func (s *Supervisor) Completeness(source string) (execution.Completeness, string) {
	reply, died := s.help(ipc.Finished, source)
	if died != nil || reply.Part(0) == "" {
		return execution.Unknown, ""
	}
	return execution.Completeness(reply.Part(0)), reply.Part(1)
}

func (s *Supervisor) help(kind ipc.Kind, parts ...any) (ipc.Message, *execution.Failure) {
	return s.do(context.Background(), &request{kind: kind, ctx: context.Background()}, parts...)
}

// stubbornTime is how long after a Release that did not help the next one ends
// the process.
const stubbornTime = 15 * time.Second

// Release has the other process stop what cells left running. Compiled code
// can't be stopped: if such goes on, the next Release ends the process.
func (s *Supervisor) Release() (lines []string) {
	c := s.current()
	if c == nil {
		return nil
	}
	if at := c.stubborn.Load(); at != nil && time.Since(*at) < stubbornTime {
		c.kill("it was interrupted again, since compiled code went on")
		<-c.over
		return nil
	}
	ctx, stop := context.WithTimeout(context.Background(), 2*time.Second)
	defer stop()
	if reply, died := s.do(ctx, &request{kind: ipc.Release, ctx: ctx}); died == nil {
		reply.Decode(0, &lines)
	}
	if c.goesOn() {
		now := time.Now()
		c.stubborn.Store(&now)
		lines = append(lines, fmt.Sprintf("compiled code goes on and can't be stopped alone; interrupt again within %.0f s to end the process (plain data are kept)", stubbornTime.Seconds()))
	}
	return lines
}

// goesOn reports whether a process works while it is asked for nothing: it takes
// processor time, or wants some whenever it is looked at, as on a busy machine.
func (c *child) goesOn() bool {
	pid := c.cmd.Process.Pid
	before, ok := leftover.TimeOf(pid)
	if !ok {
		return false
	}
	const look, looks = 300 * time.Millisecond, 4
	wants := true
	for range looks {
		wants = wants && wantsProcessor(pid)
		time.Sleep(look / looks)
	}
	after, ok := leftover.TimeOf(pid)
	return ok && (after-before > look/12 || wants && wantsProcessor(pid)) && !c.isBusy()
}

// Stop ends the other process and all it has started.
func (s *Supervisor) Stop() {
	s.mu.Lock()
	s.closing = true
	c := s.child
	s.mu.Unlock()
	if c != nil {
		c.conn.Close()
		select {
		case <-c.exited:
		case <-time.After(time.Second):
		}
		c.kill("")
		<-c.exited
	}
}

// request is one request to the other process and who waits for its answer.
type request struct {
	kind  ipc.Kind
	id    uint64
	cell  string
	ctx   context.Context
	reply chan ipc.Message
	begin func()
	waits chan struct{} // closed when begin has returned
	told  bool          // it has been closed
	// begun tells that something of a cell may have happened; under the
	// process's lock.
	begun bool
}

// untouched reports whether a cell was sent to a process that was dead
// already: the next one may run it.
func (c *child) untouched(r *request) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return (r.kind == ipc.Run || r.kind == ipc.Comm) && !r.begun
}

// do sends a request and waits for its answer, or for the death of the
// process that should give it.
func (s *Supervisor) do(ctx context.Context, r *request, parts ...any) (ipc.Message, *execution.Failure) {
	for range 3 {
		m, died, again := s.try(ctx, r, parts)
		if !again {
			return m, died
		}
	}
	return ipc.Message{}, s.hopeless()
}

func (s *Supervisor) try(ctx context.Context, r *request, parts []any) (m ipc.Message, died *execution.Failure, again bool) {
	r.id, r.reply = s.last.Add(1), make(chan ipc.Message, 1)
	c := s.current()
	for c != nil && !c.add(r) {
		<-c.over
		if next := s.current(); next != c {
			c = next
		} else {
			c = nil
		}
	}
	if c == nil {
		return m, s.hopeless(), false
	}
	defer c.remove(r)
	c.conn.Write(ipc.New(r.kind, r.id, parts...)) // a failure is its death
	c.works()                                     // wakes a goroutine, so not before
	if r.begin != nil {
		r.begin() // meanwhile the cell begins
		r.begin = nil
	}
	if r.waits != nil && !r.told {
		close(r.waits)
		r.told = true
	}
	done := ctx.Done()
	var up <-chan time.Time
	for {
		select {
		case m = <-r.reply:
			if r.kind == ipc.Run || r.kind == ipc.Comm {
				c.output.Flush()
			}
			return m, nil, false
		case <-c.over:
			return m, c.told(r), c.untouched(r)
		case <-done:
			done = nil
			c.conn.Write(ipc.New(ipc.Interrupt, r.id))
			timer := time.NewTimer(patience)
			defer timer.Stop()
			up = timer.C
		case <-up:
			c.kill(fmt.Sprintf("it did not answer within %v of an interrupt", patience))
		}
	}
}

// hopeless is the answer where no process can be started.
func (s *Supervisor) hopeless() *execution.Failure {
	return failure("no process", "the process that runs cells cannot be started: restart the kernel")
}

// failure is a failure with a text of several lines.
func failure(name, text string) *execution.Failure {
	first, rest, more := strings.Cut(text, "\n")
	shown := "\x1b[31m" + first + "\x1b[0m"
	if more {
		shown += "\n" + rest
	}
	return &execution.Failure{Name: name, Value: first, Traceback: strings.Split(shown, "\n")}
}

// Pid is the number of the process that runs cells at the moment.
func (s *Supervisor) Pid() int {
	if c := s.current(); c != nil {
		return c.cmd.Process.Pid
	}
	return 0
}
