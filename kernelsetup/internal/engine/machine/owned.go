package machine

import (
	"fmt"
	"reflect"
	"sync"
	"time"
	"unsafe"
	"weak"
)

// Owned is what a run has left running.
type Owned struct {
	Run *Run
	// Goroutines are those of its cell that still live.
	Goroutines int
	// Timers are calls of its functions that are due later.
	Timers int
}

// timers are the calls that cells have put off, by time.AfterFunc.
type timers struct {
	mu  sync.Mutex
	all map[weak.Pointer[time.Timer]]putOff
}

// putOff is a call that is due later.
type putOff struct {
	run  *Run
	done *bool // under the lock of timers
}

func init() {
	natives["time.AfterFunc"] = func(t *Thread, w Window) {
		t.m.runs.wakers.Store(true)
		f, _ := w.Value(1).Interface().(func())
		if f == nil {
			panic(fatalText("fatal error: go of nil func value"))
		}
		w.Set(0, reflect.ValueOf(t.m.runs.timers.after(t.run, time.Duration(w.Int(0)), f)))
	}
}

// after is time.AfterFunc for a run.
func (ts *timers) after(r *Run, d time.Duration, f func()) *time.Timer {
	done := new(bool)
	ts.mu.Lock()
	defer ts.mu.Unlock()
	timer := time.AfterFunc(d, func() {
		ts.mu.Lock()
		*done = true
		ts.mu.Unlock()
		f()
	})
	if ts.all == nil {
		ts.all = map[weak.Pointer[time.Timer]]putOff{}
	}
	if len(ts.all)%64 == 63 {
		for p, o := range ts.all {
			if *o.done || p.Value() == nil {
				delete(ts.all, p)
			}
		}
	}
	ts.all[weak.Make(timer)] = putOff{r, done}
	return timer
}

// Owned lists the runs that have ended and of which something still runs.
func (m *Machine) Owned() []Owned {
	counts := map[*Run]*Owned{}
	of := func(r *Run) *Owned {
		if counts[r] == nil {
			counts[r] = &Owned{Run: r}
		}
		return counts[r]
	}
	m.runs.goroutines.Range(func(_, r any) bool {
		if run := r.(*Run); !run.guest && run != m.runs.current.Load() {
			of(run).Goroutines++
		}
		return true
	})
	m.runs.timers.mu.Lock()
	for p, o := range m.runs.timers.all {
		if !*o.done && p.Value() != nil && o.run != m.runs.current.Load() {
			of(o.run).Timers++
		}
	}
	m.runs.timers.mu.Unlock()
	var list []Owned
	for _, o := range counts {
		list = append(list, *o)
	}
	return list
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

// Release stops what ended runs have left running: their goroutines at their
// next loop, call or wait, and calls that are due later. Calls by goroutines
// that compiled code has started fail until the next run begins.
func (m *Machine) Release() {
	m.runs.timers.mu.Lock()
	for p, o := range m.runs.timers.all {
		if timer := p.Value(); timer != nil && o.run != m.runs.current.Load() {
			timer.Stop()
			delete(m.runs.timers.all, p)
		}
	}
	m.runs.timers.mu.Unlock()
	m.runs.background.Load().Interrupt()
	m.runs.spawning.Range(func(r, _ any) bool {
		r.(*Run).Interrupt()
		m.runs.spawning.Delete(r)
		return true
	})
	for _, o := range m.Owned() {
		o.Run.Interrupt()
	}
}

// GiveUp abandons what Release has not stopped.
func (m *Machine) GiveUp() {
	m.runs.background.Load().Abandon()
	for _, o := range m.Owned() {
		o.Run.Abandon()
	}
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

// LateOutput sets what takes the text that goroutines print by package fmt
// after the end of their run, for it to be shown with its cell.
func (m *Machine) LateOutput(f func(run *Run, text string)) { m.runs.lateOutput.Store(&f) }

// printers of fmt that write to standard output.
var printsLate = map[string]func(w Window) string{
	"fmt.Print":   func(w Window) string { return fmt.Sprint(w.Anys(0)...) },
	"fmt.Println": func(w Window) string { return fmt.Sprintln(w.Anys(0)...) },
	"fmt.Printf":  func(w Window) string { return fmt.Sprintf(w.String(0), w.Anys(1)...) },
}

// ofItsCell is call, but for what a run prints after its end.
func ofItsCell(name string, call ext, sig *sigLayout) ext {
	text := printsLate[name]
	if text == nil {
		return call
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		if t.shares && t.run.name.Load() != nil {
			select {
			case <-t.run.finished:
				if f := t.m.runs.lateOutput.Load(); f != nil {
					w := Window{m: t.m, sig: sig, s: s, p: p}
					out := text(w)
					(*f)(t.run, out)
					w.SetInt(0, int64(len(out)))
					w.Set(1, reflect.Zero(reflect.TypeFor[error]()))
					return
				}
			default:
			}
		}
		call(t, s, p)
	}
}
