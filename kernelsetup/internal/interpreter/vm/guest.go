package vm

import (
	"sync/atomic"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// Guest runs f, which is compiled and may call methods and functions of
// cells, as a run of its own. This is the one way for the program around the
// machine to call what a cell has written: a panic, a Goexit or an endless
// loop there ends or delays no goroutine but the guest's. Calls in a shallow
// one can be nested less deeply: filling whole stacks takes a second.
func (m *Machine) Guest(f func(), shallow bool) *Run {
	r := newRun(m)
	r.guest, r.shallow = true, shallow
	m.runs.current.CompareAndSwap(nil, r)
	watch := time.AfterFunc(memoryLookTime, r.watchMemory)
	go func() {
		defer watch.Stop()
		defer close(r.finished)
		defer m.runs.leave(m.runs.enter(r))
		returned := false
		defer func() {
			switch v := recover(); {
			case v != nil:
				r.end(Outcome{Panic: v, Trace: r.traceOf(v)})
			case !returned:
				r.end(Outcome{Goexit: true})
			default:
				r.end(Outcome{})
			}
		}()
		f()
		returned = true
	}()
	return r
}

// traceOf returns the places that a panic has come through, if it came out of
// a cell's code just now.
func (r *Run) traceOf(v any) []Place {
	if p := r.m.passing.Swap(nil); p != nil && p.run == r && sameWords(p.value, v) {
		return p.trace
	}
	return nil
}

// Interpreting reports whether code of a cell runs in r, as opposed to the
// compiled code between such calls.
func (r *Run) Interpreting() bool { return atomic.LoadInt32(&r.calls) > 0 }

// Host returns the run that the calling goroutine belongs to; nil on a
// goroutine that is no cell's.
func (m *Machine) Host() *Run { return m.runs.of(rtype.Goroutine()) }

// Close bars code of cells from the calling goroutine until open is called:
// a call that reaches it there panics with Trespass instead of running.
func (m *Machine) Close() (open func()) {
	g := rtype.Goroutine()
	m.runs.closed.Store(g, nil)
	return func() { m.runs.closed.Delete(g) }
}

func (rs *runs) refuse(g uintptr) {
	if _, closed := rs.closed.Load(g); closed {
		panic(Trespass{})
	}
}
