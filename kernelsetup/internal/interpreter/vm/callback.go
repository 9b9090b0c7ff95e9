package vm

import (
	"fmt"
	"go/token"
	"go/types"
	"math"
	"reflect"
	"runtime"
	"sync/atomic"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// caller runs interpreted functions for compiled code.
type caller struct{ m *Machine }

// Call implements rtype.Caller.
func (c caller) Call(impl unsafe.Pointer, args []reflect.Value) []reflect.Value {
	cl := (*Closure)(impl)
	t := c.m.callbackThread(cl)
	sig := cl.fn.sig
	s, p := t.window()
	for i, a := range sig.params {
		c.m.setValue(a.layout, args[i], unsafe.Add(s, a.s*8), unsafe.Add(p, a.p*8))
	}
	unwrapWriters(sig.takes, p)
	t.callback(cl)
	s, p = t.window()
	out := make([]reflect.Value, len(sig.results))
	for i, r := range sig.results {
		out[i] = c.m.value(r.layout, unsafe.Add(s, r.s*8), unsafe.Add(p, r.p*8))
	}
	t.endCallback()
	return out
}

// CallWords implements rtype.Caller.
func (c caller) CallWords(impl unsafe.Pointer, w *rtype.Words) {
	cl := (*Closure)(impl)
	t := c.m.callbackThread(cl)
	sig := cl.fn.sig
	s, p := t.window()
	at := words{}
	for i := range sig.params {
		at.take(&w.A, &sig.params[i], s, p)
	}
	unwrapWriters(sig.takes, p)
	t.callback(cl)
	s, p = t.window()
	at = words{}
	for i := range sig.results {
		at.give(&w.R, &sig.results[i], s, p)
	}
	t.endCallback()
}

// words is how many words of a call's values have been copied.
type words struct{ words, floats int }

// take copies a parameter's words to its slots.
func (at *words) take(from *rtype.Params, f *fieldSlots, s, p unsafe.Pointer) {
	s, p = unsafe.Add(s, f.s*8), unsafe.Add(p, f.p*8)
	for i := range f.layout.comps {
		switch c := &f.layout.comps[i]; {
		case c.kind == memPtr:
			*pp(p, 0) = from.P[at.words]
			p = unsafe.Add(p, 8)
			at.words++
		case c.float:
			bits := math.Float64bits(from.F[at.floats])
			if c.kind == memU32 {
				bits &= math.MaxUint32
			}
			*su(s, 0) = bits
			s = unsafe.Add(s, 8)
			at.floats++
		default:
			*su(s, 0) = narrow(c.kind, from.N[at.words])
			s = unsafe.Add(s, 8)
			at.words++
		}
	}
}

// give copies a result's slots to its words.
func (at *words) give(to *rtype.Results, f *fieldSlots, s, p unsafe.Pointer) {
	s, p = unsafe.Add(s, f.s*8), unsafe.Add(p, f.p*8)
	for i := range f.layout.comps {
		switch c := &f.layout.comps[i]; {
		case c.kind == memPtr:
			to.P[at.words] = *pp(p, 0)
			p = unsafe.Add(p, 8)
			at.words++
		case c.float:
			to.F[at.floats] = *sf(s, 0)
			s = unsafe.Add(s, 8)
			at.floats++
		default:
			to.N[at.words] = *su(s, 0)
			s = unsafe.Add(s, 8)
			at.words++
		}
	}
}

// callbackThread returns a thread for a call that compiled code makes. On a
// goroutine that compiled code started the call counts for the current run.
func (m *Machine) callbackThread(cl *Closure) *Thread {
	g := rtype.Goroutine()
	r := m.runs.of(g)
	outermost := r == nil
	if outermost {
		m.runs.refuse(g)
		if r = m.runs.current.Load(); r == nil {
			r = m.runs.background.Load()
		}
	}
	m.runs.born()
	t := m.newThread(r)
	t.outermost, t.shares = outermost, r.guest
	t.reserveWindow(cl.fn.sig)
	return t
}

func (t *Thread) endCallback() {
	t.m.runs.gone()
	t.release()
}

// callback runs a closure whose parameters are in the thread's window. A
// panic goes on through the compiled caller as a Go panic.
func (t *Thread) callback(cl *Closure) {
	ended := false
	outermost := t.outermost
	if outermost {
		t.shares = true
		defer t.m.runs.leave(t.m.runs.enter(t.run))
	}
	if t.run.guest {
		atomic.AddInt32(&t.run.calls, 1)
		defer atomic.AddInt32(&t.run.calls, -1)
	}
	defer func() {
		if !ended {
			t.m.runs.gone()
		}
	}()
	if rtype.StackUsed() > t.run.goStack() {
		t.run.overflow(cl.fn)
	}
	if cl.call != nil {
		s, p := t.window()
		cl.call(t, s, p)
		ended = true
		return
	}
	c := cl.fn.code.Load()
	if c == nil {
		c = t.m.codeOf(cl.fn)
	}
	if c == nil {
		s, p := t.window()
		cl.fn.final().native(t, s, p)
		ended = true
		return
	}
	t.enter(c)
	t.bindFree(cl, c)
	t.execute()
	if t.dead != nil {
		if outermost && (t.dead.fatal || t.dead.exit || !recoveredAbove()) { // the process would end
			t.run.goroutineDied(t.outcome(), token.NoPos)
			runtime.Goexit()
		}
		if t.dead.fatal {
			t.run.fell(t.outcome())
		}
		t.m.passOn(t.dead)
	}
	ended = true
}

// fell brings a run down with what nothing may recover, an interrupt or an
// exit for example, before it goes on through compiled code: that may recover
// it all the same, as fmt does.
func (r *Run) fell(o Outcome) {
	select {
	case <-r.finished:
		return
	default:
	}
	r.mu.Lock()
	if r.failed == nil {
		r.failed = &o
	}
	r.mu.Unlock()
	r.Interrupt()
}

// passOn lets a panic continue in compiled code, with its own value; the
// places it has come through are kept for when it arrives in a cell again.
func (m *Machine) passOn(p *panicking) {
	m.passing.Store(p)
	panic(p.value)
}

// methodSource finds the methods of types that cells declare.
type methodSource struct{ m *Machine }

// Method implements rtype.MethodSource.
func (src methodSource) Method(sel *types.Selection) (impl unsafe.Pointer, err error) {
	fn := src.m.method(sel)
	if fn == nil {
		return nil, fmt.Errorf("no method %s", sel)
	}
	src.m.mu.Lock()
	defer src.m.mu.Unlock()
	defer catchBuildError(&err)
	return unsafe.Pointer(src.m.funcOf(fn).self), nil
}

// overflow ends a run whose functions call each other through compiled code
// too deeply: a real overflow of the Go stack would end the process. The
// compiled code in between might recover a panic, as fmt does, so the whole
// run is stopped.
func (r *Run) overflow(f *Func) {
	o := Outcome{Panic: stackOverflow{}}
	if fn := f.function(); fn != nil {
		o.Trace = []Place{{Function: fn.String(), Pos: fn.Pos()}}
	}
	r.mu.Lock()
	if r.failed == nil {
		r.failed = &o
	}
	r.mu.Unlock()
	if r.done != nil {
		r.Interrupt()
	}
	panic(stackOverflow{})
}
