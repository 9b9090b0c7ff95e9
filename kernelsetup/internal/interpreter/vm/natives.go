package vm

import (
	"bytes"
	"fmt"
	"log"
	"reflect"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
	"sync/atomic"
	"time"
	"unsafe"
)

// natives are compiled functions that must not run as they are: they would
// end the process, or wait where an interrupt cannot wake them.
var natives = map[string]Native{
	"os.Exit":      func(t *Thread, w Window) { panic(ExitPanic{int(w.Int(0))}) },
	"syscall.Exit": func(t *Thread, w Window) { panic(ExitPanic{int(w.Int(0))}) },
	"syscall.Exec": func(t *Thread, w Window) {
		panic(&buildError{msg: "syscall.Exec would put another program in the place of the kernel; package os/exec starts one beside it"})
	},
	"runtime.Goexit": func(t *Thread, w Window) { panic(goexitPanic{}) },
	"log.Fatal": func(t *Thread, w Window) {
		log.Output(2, fmt.Sprint(w.Anys(0)...))
		panic(ExitPanic{1})
	},
	"log.Fatalf": func(t *Thread, w Window) {
		log.Output(2, fmt.Sprintf(w.String(0), w.Anys(1)...))
		panic(ExitPanic{1})
	},
	"log.Fatalln": func(t *Thread, w Window) {
		log.Output(2, fmt.Sprintln(w.Anys(0)...))
		panic(ExitPanic{1})
	},
	"(*log.Logger).Fatal": func(t *Thread, w Window) {
		(*log.Logger)(w.Receiver()).Output(2, fmt.Sprint(w.Anys(0)...))
		panic(ExitPanic{1})
	},
	"(*log.Logger).Fatalf": func(t *Thread, w Window) {
		(*log.Logger)(w.Receiver()).Output(2, fmt.Sprintf(w.String(0), w.Anys(1)...))
		panic(ExitPanic{1})
	},
	"(*log.Logger).Fatalln": func(t *Thread, w Window) {
		(*log.Logger)(w.Receiver()).Output(2, fmt.Sprintln(w.Anys(0)...))
		panic(ExitPanic{1})
	},
	"time.Sleep": func(t *Thread, w Window) { t.sleep(time.Duration(w.Int(0))) },
	"time.AfterFunc": func(t *Thread, w Window) {
		t.m.runs.wakers.Store(true)
		f, _ := w.Value(1).Interface().(func())
		if f == nil {
			panic(fatalText("fatal error: go of nil func value"))
		}
		w.Set(0, reflect.ValueOf(t.m.runs.timers.after(t.run, time.Duration(w.Int(0)), f)))
	},
	"(*sync.Mutex).Lock":    func(t *Thread, w Window) { t.lock((*sync.Mutex)(w.Receiver()).TryLock, "sync.Mutex.Lock") },
	"(*sync.RWMutex).Lock":  func(t *Thread, w Window) { t.lock((*sync.RWMutex)(w.Receiver()).TryLock, "sync.RWMutex.Lock") },
	"(*sync.RWMutex).RLock": func(t *Thread, w Window) { t.lock((*sync.RWMutex)(w.Receiver()).TryRLock, "sync.RWMutex.RLock") },
	"(*sync.Mutex).Unlock": func(t *Thread, w Window) {
		mu := (*sync.Mutex)(w.Receiver())
		if mu == nil {
			failNil()
		}
		if mu.TryLock() {
			mu.Unlock()
			panic(fatalText("fatal error: sync: unlock of unlocked mutex"))
		}
		mu.Unlock()
	},
	"(*sync.RWMutex).Unlock": func(t *Thread, w Window) {
		mu := (*sync.RWMutex)(w.Receiver())
		if mu.TryRLock() {
			mu.RUnlock()
			panic(fatalText("fatal error: sync: Unlock of unlocked RWMutex"))
		}
		mu.Unlock()
	},
	"(*sync.RWMutex).RUnlock": func(t *Thread, w Window) { runlock((*sync.RWMutex)(w.Receiver())) },
	"(*sync.rlocker).Unlock":  func(t *Thread, w Window) { runlock((*sync.RWMutex)(w.Receiver())) },
	"(*sync.rlocker).Lock": func(t *Thread, w Window) {
		t.lock((*sync.RWMutex)(w.Receiver()).TryRLock, "sync.RWMutex.RLock")
	},
	"strings.Repeat": func(t *Thread, w Window) {
		text, n := w.String(0), int(w.Int(1))
		t.m.reserveTimes(len(text), n)
		w.Set(0, reflect.ValueOf(strings.Repeat(text, n)))
	},
	"bytes.Repeat": func(t *Thread, w Window) {
		b, n := w.Value(0).Bytes(), int(w.Int(1))
		t.m.reserveTimes(len(b), n)
		w.Set(0, reflect.ValueOf(bytes.Repeat(b, n)))
	},
	"(*strings.Builder).Grow": func(t *Thread, w Window) {
		t.m.reserveTimes(1, int(w.Int(0)))
		(*strings.Builder)(w.Receiver()).Grow(int(w.Int(0)))
	},
	"(*bytes.Buffer).Grow": func(t *Thread, w Window) {
		t.m.reserveTimes(1, int(w.Int(0)))
		(*bytes.Buffer)(w.Receiver()).Grow(int(w.Int(0)))
	},
	"(*sync.WaitGroup).Wait": func(t *Thread, w Window) {
		wg := (*sync.WaitGroup)(w.Receiver())
		t.wait("sync.WaitGroup.Wait", wg.Wait)
	},
	"(*sync.Cond).Wait": func(t *Thread, w Window) {
		c := (*sync.Cond)(w.Receiver())
		if l, ok := c.L.(interface{ TryLock() bool }); ok && l.TryLock() {
			c.L.Unlock()
			panic(fatalText("fatal error: sync: unlock of unlocked mutex"))
		}
		t.wait("sync.Cond.Wait", c.Wait)
	},
	// Less than what the kernel itself needs would end the process.
	"runtime/debug.SetMaxStack": func(t *Thread, w Window) {
		w.SetInt(0, int64(debug.SetMaxStack(max(int(w.Int(0)), 4*maxGoStack))))
	},
	"runtime/debug.SetMaxThreads": func(t *Thread, w Window) {
		w.SetInt(0, int64(debug.SetMaxThreads(max(int(w.Int(0)), 1000))))
	},
	"runtime.Breakpoint": func(t *Thread, w Window) { panic(fatalText("fatal error: breakpoint")) },
	"runtime.Gosched":    func(t *Thread, w Window) { runtime.Gosched() },
}

// runlock undoes one RLock. That the lock is held for reading shows in that
// it can be taken for reading but not for writing.
func runlock(mu *sync.RWMutex) {
	if mu.TryLock() {
		mu.Unlock()
		panic(fatalText("fatal error: sync: RUnlock of unlocked RWMutex"))
	}
	if !mu.TryRLock() { // a writer has it, or waits while readers have it
		if !readLocked(mu) {
			panic(fatalText("fatal error: sync: RUnlock of unlocked RWMutex"))
		}
		mu.RUnlock()
		return
	}
	mu.RUnlock()
	mu.RUnlock()
}

// readLocked reports whether readers hold a lock that a writer holds or waits
// for. The writer has taken maxReaders off the count of readers, and counts
// those it waits for in readerWait.
func readLocked(mu *sync.RWMutex) bool {
	wait := reflect.ValueOf(mu).Elem().FieldByName("readerWait")
	if !wait.IsValid() || wait.NumField() == 0 {
		return true
	}
	return atomic.LoadInt32((*int32)(unsafe.Pointer(wait.Addr().Pointer()))) > 0
}

// sleep waits for a time or an interrupt.
func (t *Thread) sleep(d time.Duration) {
	if d <= 0 {
		return
	}
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
	case <-t.wakeup():
		t.interrupted()
	}
}

// lock takes a lock, waking for an interrupt.
func (t *Thread) lock(try func() bool, what string) {
	for i := 0; i < 8; i++ {
		if try() {
			return
		}
		runtime.Gosched()
	}
	unblock := t.block(what)
	defer unblock()
	rs, p := &t.m.runs, new(poll)
	rs.polls.Store(p, nil)
	defer rs.polls.Delete(p)
	for pause := 5 * time.Microsecond; !rs.try(p, try); pause = min(2*pause, time.Millisecond) {
		select {
		case <-t.wakeup():
			t.interrupted()
		case <-t.stuckChan():
			t.deadlock()
		default:
		}
		time.Sleep(pause)
	}
}

// wait calls something that blocks, on a goroutine of its own.
func (t *Thread) wait(what string, f func()) {
	done := make(chan any, 1)
	go func() {
		defer func() { done <- recover() }()
		f()
	}()
	select {
	case r := <-done:
		if r != nil {
			panic(r)
		}
		return
	default:
	}
	defer t.block(what)()
	select {
	case r := <-done:
		if r != nil {
			panic(r)
		}
	case <-t.wakeup():
		t.interrupted()
	case <-t.stuckChan():
		t.deadlock()
	}
}
