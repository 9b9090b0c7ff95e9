package supervisor

import (
	"context"
	"os"
	"os/exec"
	"sync"
	"sync/atomic"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/ipc"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/share"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/stdstreams"
)

// child is one process that runs cells.
type child struct {
	s      *Supervisor
	cmd    *exec.Cmd
	conn   *ipc.Conn
	output *stdstreams.Streams
	dying  *lastWords
	born   time.Time
	host   chan struct{} // closed when there is a host
	once   sync.Once
	silent chan struct{} // closed when all its messages are read
	exited chan struct{} // closed when the process has ended
	over   chan struct{} // closed when all about its death is known and told

	pieces map[string][]byte // of what it saved last, and is saving now

	// stubborn is when a Release did not help.
	stubborn atomic.Pointer[time.Time]

	mu      sync.Mutex
	pending map[uint64]*request
	why     string // it was killed for this
	dead    bool
	text    string // how its death is told
	busy    chan struct{}
	rests   atomic.Bool // its memory is looked at seldom
}

// start starts a process.
func (s *Supervisor) start() (*child, error) {
	c := &child{s: s, born: time.Now(), host: make(chan struct{}), exited: make(chan struct{}), silent: make(chan struct{}), over: make(chan struct{}),
		pending: map[uint64]*request{}, pieces: map[string][]byte{}, busy: make(chan struct{}, 1)}
	ours, theirs, err := pipes()
	if err != nil {
		return nil, err
	}
	output, ends, err := stdstreams.Open(c.stream)
	if err != nil {
		return nil, err
	}
	c.output = output
	c.cmd = exec.Command(s.opt.Program, s.opt.Args...)
	c.cmd.Dir = s.opt.Dir
	c.cmd.Stdout, c.cmd.Stderr = ends[0], ends[1]
	handed, note := theirs[:], shared()
	if note != nil {
		handed = append(handed, note)
	}
	c.cmd.Args = append(c.cmd.Args, hand(c.cmd, handed)...)
	living.Lock() // against endOrphans
	if err = c.cmd.Start(); err == nil {
		living.pids[c.cmd.Process.Pid] = true
	}
	living.Unlock()
	for _, f := range append(theirs[:], ends[:]...) {
		f.Close()
	}
	if err != nil {
		if note != nil {
			note.Close()
		}
		return nil, err
	}
	c.conn = ipc.NewConn(ours[0], ours[1])
	c.conn.Note(note)
	c.dying = listenForLastWords(ours[2], c)
	go c.read()
	go c.wait()
	go c.watchMemory()
	if kernels, _ := share.Kernels(); kernels > 1 {
		go c.watchShare()
	}
	return c, nil
}

// living are the processes that supervisors have started.
var living = struct {
	sync.Mutex
	pids map[int]bool
}{pids: map[int]bool{}}

func forgetChild(pid int) {
	living.Lock()
	defer living.Unlock()
	delete(living.pids, pid)
}

// pipes makes the three pipes to a process: messages from it, messages to it,
// and its run time's last words.
func pipes() (ours, theirs [3]*os.File, err error) {
	for i, outward := range []bool{false, true, false} {
		r, w, err := os.Pipe()
		if err != nil {
			return ours, theirs, err
		}
		if outward {
			ours[i], theirs[i] = w, r
		} else {
			ours[i], theirs[i] = r, w
		}
	}
	return ours, theirs, nil
}

func (c *child) attached() { c.once.Do(func() { close(c.host) }) }

func (c *child) stream(name stdstreams.Name, text string) {
	<-c.host
	c.announced()
	c.s.host.Stream(string(name), text)
}

// add notes a request that is going to be sent; false: the process is dead.
func (c *child) add(r *request) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.dead {
		return false
	}
	c.pending[r.id] = r
	return true
}

// works has the memory of the process looked at more often.
func (c *child) works() {
	if c.rests.Swap(false) {
		select {
		case c.busy <- struct{}{}:
		default: // it has been told
		}
	}
}

// announced waits until the host knows that a cell has begun.
func (c *child) announced() {
	c.mu.Lock()
	var wait chan struct{}
	for _, r := range c.pending {
		if r.kind == ipc.Run && r.waits != nil {
			wait = r.waits
		}
	}
	c.mu.Unlock()
	if wait != nil {
		<-wait
	}
}

// told is what a request gets that the process died with.
func (c *child) told(r *request) *execution.Failure {
	if r.kind == ipc.Run || r.kind == ipc.Comm {
		return failure("process died", c.text)
	}
	return failure("process died", "the process that runs cells died; a new one has taken over")
}

// asking is the context of the cell that runs.
func (c *child) asking() context.Context {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, r := range c.pending {
		if r.kind == ipc.Run {
			return r.ctx
		}
	}
	return context.Background()
}

func (c *child) remove(r *request) {
	c.mu.Lock()
	defer c.mu.Unlock()
	delete(c.pending, r.id)
}

func (c *child) isBusy() bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return len(c.pending) > 0
}

// kill ends the process and what it has started; why is told to the user.
func (c *child) kill(why string) {
	c.mu.Lock()
	if c.why == "" {
		c.why = why
	}
	c.mu.Unlock()
	killAll(c.cmd.Process)
}

// read takes the process's messages.
func (c *child) read() {
	defer close(c.silent)
	for {
		m, err := c.conn.Read()
		if err != nil {
			return // its end is noticed elsewhere
		}
		switch m.Kind {
		case ipc.Reply:
			c.mu.Lock()
			r := c.pending[m.ID]
			c.mu.Unlock()
			if r != nil {
				select {
				case r.reply <- m:
				default:
				}
			}
		case ipc.Saved:
			c.save(m)
		case ipc.Piece:
			c.pieces[m.Part(0)] = append(c.pieces[m.Part(0)], m.Bytes(1)...)
		case ipc.Begun:
			c.mu.Lock()
			if r := c.pending[m.ID]; r != nil {
				r.begun = true
			}
			c.mu.Unlock()
		case ipc.Ready:
		default:
			<-c.host
			c.announced()
			c.heed(m)
		}
	}
}

// saved is what a process has saved: a head, and names and bytes of pieces.
type saved struct{ parts []any }

// save takes note of what the process has saved.
func (c *child) save(m ipc.Message) {
	var names []string
	if m.Decode(1, &names) != nil {
		return
	}
	now, parts := map[string][]byte{}, []any{m.Bytes(0)}
	for _, name := range names {
		now[name] = c.pieces[name]
		parts = append(parts, name, c.pieces[name])
	}
	c.pieces = now
	c.s.mu.Lock()
	defer c.s.mu.Unlock()
	if c.s.child == c || c.s.child == nil {
		c.s.saved = &saved{parts}
	}
}

// heed does what a cell wants of the front end.
func (c *child) heed(m ipc.Message) {
	h := c.s.host
	answer := func(err error, parts ...any) {
		text := ""
		if err != nil {
			text = err.Error()
		}
		c.conn.Write(ipc.New(ipc.Answer, m.ID, append([]any{text}, parts...)...))
	}
	if m.Kind == ipc.Ask {
		go func() { // others go on meanwhile
			c.output.Flush() // the question is often printed just before
			line, err := h.Ask(c.asking())
			answer(err, line)
		}()
		return
	}
	c.output.Flush()
	var err error
	switch m.Kind {
	case ipc.Show:
		h.Display(m.FormsFrom(1), m.Part(0))
	case ipc.Update:
		h.Update(m.FormsFrom(1), m.Part(0))
	case ipc.Clear:
		h.Clear(m.Part(0) == "true")
	case ipc.Late:
		h.Late(m.Part(0), m.Part(1), m.Part(2))
	case ipc.Open:
		c.s.mu.Lock()
		c.s.comms[m.Part(0)] = true
		c.s.mu.Unlock()
		err = h.OpenComm(m.Part(0), m.Part(1), m.Bytes(2), m.Bytes(3))
	case ipc.Send:
		err = h.SendComm(m.Part(0), m.Bytes(1))
	case ipc.Close:
		c.s.mu.Lock()
		delete(c.s.comms, m.Part(0))
		c.s.mu.Unlock()
		err = h.CloseComm(m.Part(0))
	}
	answer(err)
}
