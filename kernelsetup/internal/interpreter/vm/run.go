package vm

import (
	"go/token"
	"runtime/debug"
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
	waitsFor  atomic.Pointer[string] // what the main goroutine waited for last
	guest     bool                   // compiled code at the bottom, see Guest
	shallow   bool
	born      time.Time
	name      atomic.Pointer[string]
	calls     int32 // of a guest's compiled code that are in a cell's

	mu      sync.Mutex
	main    *Thread // the main goroutine's, until the outcome is known
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

// runs knows the goroutines of a machine's cells and whose they are.
type runs struct {
	waits
	current    atomic.Pointer[Run]
	background atomic.Pointer[Run] // of calls by compiled goroutines between runs
	timers     timers
	spawning   sync.Map // of *Run that have started goroutines after their end
	lateOutput atomic.Pointer[func(run *Run, stream, text string)]
	mainG      uintptr // the newest run's main goroutine
	mainRun    atomic.Pointer[Run]
	goroutines sync.Map               // *Run of each goroutine whose panics end in the machine, by rtype.Goroutine
	closed     sync.Map               // goroutines that no cell's code may run on
	waitsFor   atomic.Pointer[string] // what was waited for last
	late       atomic.Pointer[func(Outcome)]
}

// enter notes that the running goroutine is one of the machine's own: a panic
// in it ends in a thread.
func (rs *runs) enter(r *Run) uintptr {
	// A pointer that leads nowhere, which package unsafe can make, is the
	// cell's mistake and not the process's end.
	debug.SetPanicOnFault(true)
	g := rtype.Goroutine()
	rs.goroutines.Store(g, r)
	return g
}

// of returns the run that a goroutine of the machine's own belongs to, nil
// for others.
func (rs *runs) of(g uintptr) *Run {
	if g == atomic.LoadUintptr(&rs.mainG) {
		return rs.mainRun.Load()
	}
	if r, ok := rs.goroutines.Load(g); ok {
		return r.(*Run)
	}
	return nil
}

func (rs *runs) leave(g uintptr) {
	atomic.CompareAndSwapUintptr(&rs.mainG, g, 0)
	rs.goroutines.Delete(g)
}

// OnLate sets what is told of goroutines that die after their run has ended.
func (m *Machine) OnLate(f func(Outcome)) { m.runs.late.Store(&f) }

func newRun(m *Machine) *Run {
	return &Run{m: m, born: time.Now(), done: make(chan struct{}), finished: make(chan struct{}), stuck: make(chan struct{})}
}

// Start runs fn, which has neither parameters nor results, on a goroutine of
// its own.
func (m *Machine) Start(fn *ssa.Function) *Run {
	r := newRun(m)
	m.runs.fresh(m)
	m.runs.current.Store(r)
	m.mu.Lock()
	f := m.funcOf(fn)
	m.mu.Unlock()
	m.runs.born()
	watch := time.AfterFunc(memoryLookTime, r.watchMemory) // most cells end before it
	go func() {
		defer watch.Stop()
		defer close(r.finished)
		defer m.runs.gone()
		g := m.runs.enter(r)
		defer m.runs.leave(g)
		r.label()
		m.runs.mainRun.Store(r)
		atomic.StoreUintptr(&m.runs.mainG, g)
		t := m.newThread(r)
		clean := false
		defer func() {
			if !clean { // compiled code called runtime.Goexit
				r.end(Outcome{Goexit: true})
			}
		}()
		r.begin(t)
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

// begin notes on which thread the run's main goroutine is.
func (r *Run) begin(t *Thread) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.main = t
}

func (r *Run) end(o Outcome) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.main = nil
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

// Failed returns what a goroutine brought the run down with. If it is the run's
// own fault, the trace is where the main goroutine is now.
func (r *Run) Failed() (Outcome, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.failed == nil {
		return Outcome{}, false
	}
	o := *r.failed
	if o.Trace == nil && r.main != nil {
		o.Trace = r.main.seen()
	}
	return o, true
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

// spawn starts a goroutine of a cell.
func (m *Machine) spawn(r *Run, d *deferred, pos token.Pos) {
	if !m.runs.maySpawn(r) {
		return
	}
	m.runs.born()
	go func() {
		defer m.runs.gone()
		g := m.runs.enter(r)
		defer m.runs.leave(g)
		t := m.newThread(r)
		m.threads.Store(t, nil)
		defer m.threads.Delete(t)
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

// untold returns what tells the current run of a deadlock; nil when there is
// none that would have to be told.
func (rs *runs) untold() (declare func()) {
	r := rs.current.Load()
	if r == nil {
		return nil
	}
	select {
	case <-r.stuck:
		return nil
	case <-r.finished:
		return nil
	default:
	}
	return r.deadlocked
}

// deadlocked tells the run's goroutines that they wait in vain. What the main
// one waits for is what the cell's author wants to know.
func (r *Run) deadlocked() {
	r.mu.Lock()
	defer r.mu.Unlock()
	select {
	case <-r.stuck:
		return
	default:
	}
	for _, what := range []*string{r.waitsFor.Load(), r.m.runs.waitsFor.Load()} {
		if what != nil && r.stuckWhat == "" {
			r.stuckWhat = *what
		}
	}
	close(r.stuck)
}

// watchMemory stops the run when the process has taken too much.
func (r *Run) watchMemory() {
	limit := r.m.limits.Total
	if limit == 0 {
		return
	}
	tick := time.NewTicker(memoryLookTime)
	defer tick.Stop()
	patience := looksBeforeGC
	for {
		select {
		case <-r.finished:
			return
		case <-tick.C:
		}
		if used, over := r.m.grown(&patience); over {
			r.mu.Lock()
			if r.failed == nil {
				r.failed = &Outcome{Panic: outOfMemory{used, limit, true}}
			}
			r.mu.Unlock()
			r.Interrupt()
			return
		}
	}
}

// maySpawn reports whether a run may start one more goroutine: not when it has
// ended and was stopped then. Goroutines that each start the next and end may
// never be seen otherwise.
func (rs *runs) maySpawn(r *Run) bool {
	select {
	case <-r.finished:
	default:
		return true
	}
	select {
	case <-r.done:
		return false
	default:
	}
	if _, ok := rs.spawning.Load(r); !ok {
		rs.spawning.Store(r, nil)
	}
	return true
}

// fresh makes a background for calls of compiled goroutines, if the one there
// was has been released.
func (rs *runs) fresh(m *Machine) {
	select {
	case <-rs.background.Load().done:
		b := newRun(m)
		close(b.finished)
		rs.background.Store(b)
	default:
	}
}

// Name says what a run is called, for example "cell 3".
func (r *Run) Name() string {
	if n := r.name.Load(); n != nil {
		return *n
	}
	return ""
}

// SetName names a run.
func (r *Run) SetName(name string) { r.name.Store(&name) }

// Born is when the run began.
func (r *Run) Born() time.Time { return r.born }
