package session

import (
	"fmt"
	"io"
	"os"
	"reflect"
	"runtime/debug"
	"sync"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/stdstreams"
)

// patience is how long a request may go on after it was interrupted. Cells
// are left behind much earlier: what takes longer is a fault of the kernel.
var patience = 10 * time.Second

// duty is one request on the shell channel while it is answered. Its handler
// has a goroutine of its own; if that dies or does not come back after an
// interrupt, the request is answered all the same and the next one served.
type duty struct {
	request     *protocol.Message
	interrupted chan struct{}
	once        sync.Once

	mu       sync.Mutex
	answered bool
	// over is set when the handler was given up: nothing of what it still
	// does may be heard.
	over bool
}

// attend has handle answer a request, and answers it itself if that fails; then
// it calls busy before.
func (k *Kernel) attend(m *protocol.Message, busy, handle func()) {
	d := &duty{request: m, interrupted: make(chan struct{})}
	k.duty.Store(d)
	done := make(chan string, 1)
	k.handlers.Go(func() {
		fault := "its handler ended without an answer"
		defer func() {
			if r := recover(); r != nil {
				fault = fmt.Sprintf("its handler panicked with a value of type %T", r)
				if reflect.TypeOf(r).PkgPath() == "runtime" { // others may have methods of a cell's
					fault = fmt.Sprintf("its handler panicked: %v", r)
				}
				fmt.Fprintf(k.log(), "%s\n%s", fault, debug.Stack())
			}
			done <- fault
		}()
		if g, ok := k.opt.Worker.(interface{ Close() (open func()) }); ok {
			defer g.Close()()
		}
		handle()
		fault = ""
	})
	interrupted := d.interrupted
	var up <-chan time.Time
	for {
		select {
		case fault := <-done:
			if fault != "" {
				busy()
				k.apologise(d, fault)
			}
			return
		case <-interrupted:
			interrupted = nil
			timer := time.NewTimer(k.patience)
			defer timer.Stop()
			up = timer.C
		case <-up:
			busy()
			k.apologise(d, fmt.Sprintf("it did not end within %v of an interrupt", k.patience))
			return
		}
	}
}

// log is where faults of the kernel itself are told.
func (k *Kernel) log() io.Writer {
	if w, ok := k.opt.Worker.(interface {
		Original(stdstreams.Name) *os.File
	}); ok {
		return w.Original(stdstreams.Stderr)
	}
	return os.Stderr
}

// claim reports whether a reply to a request may be sent, and lets nobody
// else send one.
func (k *Kernel) claim(request *protocol.Message) bool {
	d := k.duty.Load()
	if d == nil || d.request != request {
		_, given := k.givenUp.Load(request)
		return !given
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.answered || d.over {
		return false
	}
	d.answered = true
	return true
}

// heard reports whether what belongs to a request may still be published.
func (k *Kernel) heard(request *protocol.Message) bool {
	if request == nil {
		return true
	}
	_, given := k.givenUp.Load(request)
	return !given
}

// replyKinds are the requests that want an answer.
var replyKinds = map[string]string{
	"execute_request": "execute_reply", "complete_request": "complete_reply", "inspect_request": "inspect_reply",
	"is_complete_request": "is_complete_reply", "history_request": "history_reply", "comm_info_request": "comm_info_reply",
	"kernel_info_request": "kernel_info_reply", "connect_request": "connect_reply",
	"shutdown_request": "shutdown_reply", "interrupt_request": "interrupt_reply",
}

// apologise answers a request whose handler failed.
func (k *Kernel) apologise(d *duty, fault string) {
	text := "internal error of the kernel: the request could not be answered: " + fault +
		". This is a fault of the kernel, not of the cell; variables are kept."
	d.mu.Lock()
	answered := d.answered
	d.mu.Unlock()
	kind, wanted := replyKinds[d.request.Header.Type]
	content := errorReply(int(k.count.Load()), &execution.Failure{Name: "internal error", Value: text, Traceback: []string{text}})
	if kind == "execute_reply" && !answered {
		k.publish(d.request, "error", map[string]any{
			"ename": content["ename"], "evalue": content["evalue"], "traceback": content["traceback"]})
	}
	if wanted && !answered {
		k.reply(k.endpoint.Shell, d.request, kind, content)
	}
	d.mu.Lock()
	d.over = true
	d.mu.Unlock()
	k.givenUp.Store(d.request, true)
}
