// Package session leads a kernel's conversation: it takes requests from the
// sockets, has cells run, and publishes what becomes of them.
package session

import (
	"context"
	"encoding/json"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/standby"
)

// Options configure a kernel. Worker is required.
type Options struct {
	Worker execution.Worker
	// Version is the kernel's own version.
	Version string
	// Interrupts delivers interrupt signals; nil: by message only.
	Interrupts <-chan os.Signal
	// HistoryFile keeps the history over sessions; empty: this session only.
	HistoryFile string
	// SignAfter is after how long a cell that has shown nothing says that it
	// runs; 0: never.
	SignAfter time.Duration
}

// Kernel is one running session.
type Kernel struct {
	opt      Options
	endpoint *protocol.Endpoint
	history  *history
	comms    *comms
	stdin    *stdinChannel

	shell chan arrival
	quit  chan struct{}
	ready chan struct{}

	// count is the number of the last executed cell.
	count    atomic.Int64
	asked    atomic.Pointer[protocol.Message] // the last request to run a cell
	sign     atomic.Pointer[sign]             // of the cell that runs
	ahead    atomic.Int32                     // requests to run a cell that are not done yet
	stopping *stopping
	// duty is the request on the shell channel that is answered at the
	// moment, givenUp those whose handlers failed.
	duty     atomic.Pointer[duty]
	givenUp  sync.Map
	handlers *standby.Pool
	patience time.Duration

	mu sync.Mutex
	// parent is the request that output belongs to, cancel interrupts it;
	// cancel is nil while nothing runs.
	parent *protocol.Message
	cancel context.CancelFunc
	// cells are the requests of cells by their names, the last of each.
	cells map[string]*protocol.Message
	// closing is set when no cell may begin any more.
	closing bool
}

// inboxSize bounds requests waiting for the cell that runs; a front end that
// sends more waits.
var inboxSize = 4096

// Serve binds the sockets of the connection and answers until a shutdown is
// requested or ctx ends.
func Serve(ctx context.Context, c protocol.Connection, opt Options) error {
	k := &Kernel{
		opt:   opt,
		shell: make(chan arrival, inboxSize),
		quit:  make(chan struct{}, 1),
		ready: make(chan struct{}),

		cells:    map[string]*protocol.Message{},
		stopping: newStopping(),
		handlers: standby.New(),
		patience: patience,
	}
	defer k.handlers.Close()
	k.history = openHistory(opt.HistoryFile)
	defer k.history.close()
	k.comms = newComms(k)
	k.stdin = newStdinChannel()

	var err error
	k.endpoint, err = protocol.Bind(c, protocol.Handlers{
		Shell:   k.receive,
		Control: k.control,
		Stdin:   k.stdin.receive,
	})
	if err != nil {
		return err
	}
	defer k.endpoint.Close()
	if err := opt.Worker.Attach(host{k}); err != nil {
		return err
	}
	defer opt.Worker.Stop()
	close(k.ready)
	k.publish(nil, "status", map[string]string{"execution_state": "starting"})

	loop, stop := context.WithCancel(ctx)
	defer stop()
	done := make(chan struct{})
	go func() {
		defer close(done)
		k.shellLoop(loop)
	}()
	k.wait(ctx)
	stop()
	k.mu.Lock()
	k.closing = true
	k.mu.Unlock()
	k.Interrupt()
	select {
	case <-done:
	case <-time.After(time.Second):
	}
	k.endpoint.Drain(time.Second)
	return nil
}

// receive takes a request from the shell channel.
func (k *Kernel) receive(m *protocol.Message) {
	a := arrival{m, time.Now()}
	k.stopping.came(a)
	if m.Header.Type == "execute_request" {
		k.ahead.Add(1)
	} else {
		k.waits(m)
	}
	k.shell <- a
}

// wait returns when the kernel is to end.
func (k *Kernel) wait(ctx context.Context) {
	for {
		select {
		case <-k.opt.Interrupts:
			k.Interrupt()
		case <-k.quit:
			return
		case <-ctx.Done():
			return
		}
	}
}

// Interrupt stops the cell that runs; while none does, what earlier cells have
// left running.
func (k *Kernel) Interrupt() {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.cancel != nil {
		k.cancel()
	} else if !k.closing {
		go k.release()
	}
	if d := k.duty.Load(); d != nil {
		d.once.Do(func() { close(d.interrupted) })
	}
}

// release stops what cells have left running and tells it below the last one.
func (k *Kernel) release() {
	if lines := k.opt.Worker.Release(); len(lines) > 0 {
		host{k}.Stream("stderr", strings.Join(lines, "\n")+"\n")
	}
}

func (k *Kernel) shellLoop(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case a := <-k.shell:
			if a.Header.Type == "execute_request" && k.stopping.tooLate(a) {
				k.abort(a.Message)
			} else {
				k.shellRequest(a.Message)
			}
			if a.Header.Type == "execute_request" {
				k.ahead.Add(-1)
			}
		}
	}
}

// joinTime is how long a fresh client's requests wait for its subscription:
// what is published before that is lost to it.
const joinTime = 250 * time.Millisecond

// shellRequest answers one request on the shell channel, between busy and
// idle.
func (k *Kernel) shellRequest(m *protocol.Message) {
	if age := k.endpoint.Shell.Age(m); age < joinTime {
		k.endpoint.IOPub.WaitFor(k.endpoint.Shell.Peers(), joinTime-age)
	}
	switch m.Header.Type {
	case "execute_request", "comm_open", "comm_msg", "comm_close":
		// A goroutine that a cell left behind goes on writing below that
		// cell, not into a completion that happens to be asked for.
		k.mu.Lock()
		k.parent = m
		k.mu.Unlock()
	}
	busy := sync.OnceFunc(func() { k.status(m, "busy") })
	if m.Header.Type != "execute_request" { // else when the cell is on its way
		busy()
	}
	defer k.status(m, "idle")
	k.attend(m, busy, func() { k.answer(m, busy) })
}

func (k *Kernel) answer(m *protocol.Message, busy func()) {
	switch m.Header.Type {
	case "execute_request":
		k.execute(m, busy)
	case "complete_request":
		k.complete(m)
	case "inspect_request":
		k.inspect(m)
	case "is_complete_request":
		k.isComplete(m)
	case "history_request":
		k.historyRequest(m)
	case "comm_info_request":
		k.commInfo(m)
	case "comm_open", "comm_msg", "comm_close":
		k.comm(m)
	case "kernel_info_request", "connect_request", "shutdown_request", "interrupt_request":
		k.common(k.endpoint.Shell, m)
	}
}

// control answers requests on the control channel, beside the cell that runs.
func (k *Kernel) control(m *protocol.Message) {
	<-k.ready
	k.status(m, "busy")
	defer k.status(m, "idle")
	k.common(k.endpoint.Control, m)
}

// common answers what may come on either channel.
func (k *Kernel) common(from *protocol.Router, m *protocol.Message) {
	switch m.Header.Type {
	case "kernel_info_request":
		k.reply(from, m, "kernel_info_reply", k.info())
	case "connect_request":
		k.reply(from, m, "connect_reply", map[string]any{})
	case "interrupt_request":
		k.Interrupt()
		k.reply(from, m, "interrupt_reply", map[string]any{"status": "ok"})
	case "shutdown_request":
		var content struct {
			Restart bool `json:"restart"`
		}
		json.Unmarshal(m.Content, &content)
		answer := map[string]any{"status": "ok", "restart": content.Restart}
		k.reply(from, m, "shutdown_reply", answer)
		k.publish(m, "shutdown_reply", answer)
		select {
		case k.quit <- struct{}{}:
		default:
		}
	}
}

// reply answers a request; content that cannot be encoded becomes an error.
func (k *Kernel) reply(to *protocol.Router, request *protocol.Message, kind string, content any) {
	if m := k.compose(to, request, kind, content); m != nil {
		to.Send(m)
	}
}

// compose returns the answer to a request; nil where it has one already.
func (k *Kernel) compose(to *protocol.Router, request *protocol.Message, kind string, content any) *protocol.Message {
	if to == k.endpoint.Shell && !k.claim(request) {
		return nil
	}
	m, err := k.endpoint.Author.New(kind, request, content)
	if err != nil {
		m, _ = k.endpoint.Author.New(kind, request, map[string]any{
			"status": "error", "ename": "encoding", "evalue": err.Error(), "traceback": []string{}})
	}
	m.Identities = request.Identities
	return m
}

// publish broadcasts a message that belongs to a request, or to none.
func (k *Kernel) publish(parent *protocol.Message, kind string, content any) {
	if kind != "status" && !k.heard(parent) {
		return
	}
	k.speaks(parent, kind)
	k.send(parent, kind, content)
}

// send is publish of what is published whatever the cell does.
func (k *Kernel) send(parent *protocol.Message, kind string, content any) {
	m, err := k.endpoint.Author.New(kind, parent, content)
	if err != nil {
		return
	}
	m.Identities = [][]byte{[]byte("kernel." + k.endpoint.Author.Session() + "." + kind)}
	k.endpoint.IOPub.Publish(m)
}

func (k *Kernel) status(parent *protocol.Message, state string) {
	k.publish(parent, "status", map[string]string{"execution_state": state})
}

// current returns the request that output belongs to.
func (k *Kernel) current() *protocol.Message {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.parent
}
