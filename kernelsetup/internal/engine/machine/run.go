package machine

import (
	"bytes"
	"go/token"
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// Run is one cell being executed: its main goroutine and those it starts,
// which may outlive it.
type Run struct {
	m    *Machine
	stop uint32 // polled by the threads
	kill uint32 // polled by threads that have been interrupted already

	done      chan struct{} // closed by Interrupt: wakes whoever waits
	stopOnce  sync.Once
	finished  chan struct{} // closed when the main goroutine has ended
	stuck     chan struct{} // closed when nobody can wake the main goroutine
	stuckWhat string
	watched   atomic.Bool

	mu      sync.Mutex
	outcome Outcome
	failed  *Outcome // of a goroutine that brought the run down
}

// Outcome is how a run ended. The zero value is success.
type Outcome struct {
	// Panic is what the main goroutine died of, or another one of the run.
	Panic any
	// Trace is where, innermost call first.
	Trace []Place
	// Goroutine tells that it was not the main one.
	Goroutine bool
	// Goexit tells that the main goroutine ended by runtime.Goexit.
	Goexit bool
}

// Interrupted reports whether the outcome is an interrupt.
func (o Outcome) Interrupted() bool { _, ok := o.Panic.(interruptedPanic); return ok }

// StackOverflow reports whether calls were nested too deeply.
func (o Outcome) StackOverflow() bool { _, ok := o.Panic.(stackOverflow); return ok }

// Deadlock returns what the main goroutine waited for in vain.
func (o Outcome) Deadlock() (string, bool) {
	d, ok := o.Panic.(deadlocked)
	return d.what, ok
}

// OutOfMemory returns the allocation that was refused or, with total, what
// the process took in all.
func (o Outcome) OutOfMemory() (want, limit uint64, total, ok bool) {
	d, ok := o.Panic.(outOfMemory)
	return d.want, d.limit, d.total, ok
}

// Unsupported returns why code could not be made.
func (o Outcome) Unsupported() (string, token.Pos, bool) {
	d, ok := o.Panic.(*buildError)
	if !ok {
		return "", token.NoPos, false
	}
	return d.msg, d.pos, true
}

// runs counts the interpreted goroutines of a machine.
type runs struct {
	live       int32 // goroutines that exist
	blocked    int32 // those that wait for each other
	current    atomic.Pointer[Run]
	background *Run
	mainG      uintptr                // the current run's main goroutine
	goroutines sync.Map               // those with a thread at their bottom, by rtype.Goroutine
	epoch      int64                  // counts beginnings and ends of waits
	wakers     atomic.Bool            // something compiled may wake a goroutine
	waitsFor   atomic.Pointer[string] // what was waited for last
	late       atomic.Pointer[func(Outcome)]
}

// enter notes that the running goroutine is one of the machine's own: a panic
// in it ends in a thread.
func (rs *runs) enter() uintptr {
	g := rtype.Goroutine()
	rs.goroutines.Store(g, true)
	return g
}

func (rs *runs) leave(g uintptr) {
	atomic.CompareAndSwapUintptr(&rs.mainG, g, 0)
	rs.goroutines.Delete(g)
}

// own reports whether the running goroutine is one of the machine's own.
func (rs *runs) own() bool {
	g := rtype.Goroutine()
	if g == atomic.LoadUintptr(&rs.mainG) {
		return true
	}
	_, ok := rs.goroutines.Load(g)
	return ok
}

// OnLate sets what is told of goroutines that die after their run has ended.
func (m *Machine) OnLate(f func(Outcome)) { m.runs.late.Store(&f) }

func newRun(m *Machine) *Run {
	return &Run{m: m, done: make(chan struct{}), finished: make(chan struct{}), stuck: make(chan struct{})}
}

// Start runs fn, which has neither parameters nor results, on a goroutine of
// its own.
func (m *Machine) Start(fn *ssa.Function) *Run {
	r := newRun(m)
	m.runs.current.Store(r)
	m.mu.Lock()
	f := m.funcOf(fn)
	m.mu.Unlock()
	atomic.AddInt32(&m.runs.live, 1)
	watch := time.AfterFunc(memoryLookTime, r.watchMemory) // most cells end before it
	go func() {
		defer watch.Stop()
		defer close(r.finished)
		defer m.runs.gone()
		g := m.runs.enter()
		defer m.runs.leave(g)
		atomic.StoreUintptr(&m.runs.mainG, g)
		t := m.newThread(r)
		clean := false
		defer func() {
			if !clean { // compiled code called runtime.Goexit
				r.end(Outcome{Goexit: true})
			}
		}()
		r.end(t.runMain(f))
		clean = true
		t.release()
	}()
	return r
}

func (t *Thread) runMain(f *Func) (o Outcome) {
	c, err := t.m.tryCode(f)
	if err != nil {
		return Outcome{Panic: err}
	}
	t.enter(c)
	t.execute()
	return t.outcome()
}

func (m *Machine) tryCode(f *Func) (c *code, err error) {
	defer catchBuildError(&err)
	return m.codeOf(f), nil
}

func (t *Thread) outcome() Outcome {
	switch p := t.dead; {
	case p == nil:
		return Outcome{}
	case p.exit:
		return Outcome{Goexit: true, Trace: p.trace}
	default:
		return Outcome{Panic: p.value, Trace: p.trace}
	}
}

func (r *Run) end(o Outcome) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.failed != nil && (o.Panic == nil || o.Interrupted()) {
		trace := o.Trace
		if o = *r.failed; o.Trace == nil { // it is the run's own fault
			o.Trace = trace
		}
	}
	r.outcome = o
	r.m.runs.current.CompareAndSwap(r, nil)
}

// Finished is closed when the main goroutine has ended.
func (r *Run) Finished() <-chan struct{} { return r.finished }

// Outcome is valid once Finished is closed.
func (r *Run) Outcome() Outcome {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.outcome
}

// Stopping is closed when the run is being stopped, by Interrupt or because
// one of its goroutines died.
func (r *Run) Stopping() <-chan struct{} { return r.done }

// Failed returns what a goroutine brought the run down with.
func (r *Run) Failed() (Outcome, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.failed == nil {
		return Outcome{}, false
	}
	return *r.failed, true
}

// Interrupt stops the run's goroutines at their next loop, call or wait.
func (r *Run) Interrupt() {
	r.stopOnce.Do(func() {
		atomic.StoreUint32(&r.stop, 1)
		close(r.done)
	})
}

// Abandon gives the run up: what is left of it dies as soon as it comes back
// from compiled code.
func (r *Run) Abandon() {
	r.Interrupt()
	atomic.StoreUint32(&r.kill, 1)
	r.m.runs.current.CompareAndSwap(r, nil)
}

// interrupted is called by a thread that has seen its stop flag.
func (t *Thread) interrupted() {
	// Deferred calls still run, until the run is abandoned.
	t.stop = &t.run.kill
	panic(interruptedPanic{})
}

// wakeup returns the channel that is closed on an interrupt; nil once the
// thread has been interrupted.
func (t *Thread) wakeup() chan struct{} {
	if t.stop != &t.run.stop {
		return nil
	}
	return t.run.done
}

// spawn starts a goroutine of a cell.
func (m *Machine) spawn(r *Run, d *deferred, pos token.Pos) {
	atomic.AddInt32(&m.runs.live, 1)
	go func() {
		defer m.runs.gone()
		g := m.runs.enter()
		defer m.runs.leave(g)
		t := m.newThread(r)
		t.shares = true
		if t.start(d) {
			t.execute()
		}
		if t.dead != nil && !t.dead.exit {
			r.goroutineDied(t.outcome(), pos)
			return
		}
		t.release()
	}()
}

// start begins the first call of a goroutine. It returns false when there is
// nothing left to execute.
func (t *Thread) start(d *deferred) (entered bool) {
	defer func() {
		if r := recover(); r != nil {
			t.raise(r)
			t.dead = t.panics[len(t.panics)-1]
		}
	}()
	t.pc = exitCode.start
	return t.startDeferred(d)
}

func (r *Run) goroutineDied(o Outcome, pos token.Pos) {
	if o.Interrupted() {
		return
	}
	o.Goroutine = true
	if pos != token.NoPos {
		o.Trace = append(o.Trace, Place{Function: "go statement", Pos: pos})
	}
	r.mu.Lock()
	over := false
	select {
	case <-r.finished:
		over = true
	default:
		if r.failed == nil {
			r.failed = &o
		}
	}
	r.mu.Unlock()
	if !over {
		r.Interrupt()
		return
	}
	if f := r.m.runs.late.Load(); f != nil {
		(*f)(o)
	}
}

// block tells that the thread waits for another goroutine. The function it
// returns ends that.
func (t *Thread) block(what string) (unblock func()) {
	rs := &t.m.runs
	atomic.AddInt64(&rs.epoch, 1)
	rs.waitsFor.Store(&what)
	if atomic.AddInt32(&rs.blocked, 1) >= atomic.LoadInt32(&rs.live) && !rs.wakers.Load() {
		if r := rs.current.Load(); r != nil && r.watched.CompareAndSwap(false, true) {
			go r.watch(what)
		}
	}
	return func() {
		atomic.AddInt32(&rs.blocked, -1)
		atomic.AddInt64(&rs.epoch, 1)
	}
}

// watch declares a deadlock when all goroutines go on waiting and none has
// moved meanwhile, nor is about to.
func (r *Run) watch(what string) {
	rs := &r.m.runs
	defer func() {
		r.watched.Store(false)
		rs.lookAgain() // also for what began to wait while watched was still set
	}()
	epoch := atomic.LoadInt64(&rs.epoch)
	for range 20 {
		time.Sleep(3 * time.Millisecond)
		if now := atomic.LoadInt64(&rs.epoch); now != epoch {
			epoch = now
			continue
		}
		if atomic.LoadInt32(&rs.blocked) < atomic.LoadInt32(&rs.live) || rs.wakers.Load() || rs.current.Load() != r {
			return
		}
	}
	if atomic.LoadInt64(&rs.epoch) != epoch || waking() {
		return // the deferred look starts another watch
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	select {
	case <-r.stuck:
	default:
		r.stuckWhat = what
		close(r.stuck)
	}
}

// gone notes the end of a goroutine. Those that still wait may now be the only
// ones: a goroutine left over from an interrupted cell must not hide a
// deadlock of the next.
func (rs *runs) gone() {
	atomic.AddInt32(&rs.live, -1)
	rs.lookAgain()
}

// lookAgain watches for a deadlock if all goroutines wait.
func (rs *runs) lookAgain() {
	blocked := atomic.LoadInt32(&rs.blocked)
	if blocked == 0 || blocked < atomic.LoadInt32(&rs.live) || rs.wakers.Load() {
		return
	}
	r, what := rs.current.Load(), rs.waitsFor.Load()
	if r == nil || what == nil {
		return
	}
	select {
	case <-r.stuck: // declared already
	case <-r.finished:
	default:
		go r.watchAgain(*what)
	}
}

func (r *Run) watchAgain(what string) {
	time.Sleep(20 * time.Millisecond)
	rs := &r.m.runs
	if rs.current.Load() == r && atomic.LoadInt32(&rs.blocked) >= atomic.LoadInt32(&rs.live) && r.watched.CompareAndSwap(false, true) {
		r.watch(what)
	}
}

// waking reports whether a goroutine of a cell could run, which on a busy
// machine it may do late.
func waking() bool {
	buf := make([]byte, 1<<16)
	for {
		n := runtime.Stack(buf, true)
		if n < len(buf) {
			buf = buf[:n]
			break
		}
		buf = make([]byte, 2*len(buf))
	}
	for _, g := range bytes.Split(buf, []byte("\n\n")) {
		head, rest, _ := bytes.Cut(g, []byte("\n"))
		if !bytes.Contains(rest, []byte("machine.(*Thread)")) {
			continue
		}
		if bytes.Contains(head, []byte("[runnable")) || bytes.Contains(head, []byte("[running")) {
			return true
		}
	}
	return false
}

// stuckChan is where a thread hears of a deadlock: only the main goroutine of
// the current run does, in the form of a closed channel.
func (t *Thread) stuckChan() chan struct{} { return t.run.stuck }

func (t *Thread) deadlock() {
	panic(deadlocked{t.run.stuckWhat})
}
