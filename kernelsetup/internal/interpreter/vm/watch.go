package vm

import (
	"bytes"
	"runtime"
	"sync"
	"sync/atomic"
	"time"
)

// waits counts a machine's goroutines and those of them that wait for each
// other, and has a deadlock looked for while all of them do.
//
// All goroutines waiting is a state that nothing can end, so one moment at
// which it holds is enough, and the difficulty is to see one moment: counters
// are behind a goroutine that has been woken and has not run yet. The watch
// therefore takes the run time's own picture of all goroutines, for which the
// world stops, and believes it only if the counters, read before, were true
// at that moment: every change after which one of them would count too many
// waiting or too few living moves the epoch.
type waits struct {
	live    int32       // goroutines that exist
	blocked int32       // those that wait for each other
	epoch   int64       // moves with every change
	wakers  atomic.Bool // something compiled may wake a goroutine
	// watched is set while a watch looks.
	watched atomic.Bool
	polls   sync.Map // of *poll: goroutines that try again and again

	// stuck returns what to do on a deadlock; nil while nobody is to be told.
	stuck func() (declare func())
	// moves takes the picture: whether a goroutine of a cell could run.
	moves func() bool
	// pause passes the time between two looks, start starts a watch; a test
	// sets these and at, which is called between two steps that others can
	// come between.
	pause func()
	start func(watch func())
	at    func()
}

const (
	lookTime = 3 * time.Millisecond
	// stillLooks is how often nothing must have changed before the picture is
	// taken, which stops everything for a moment.
	stillLooks = 8
)

func (w *waits) init() {
	w.moves = anyMoves
	w.pause = func() { time.Sleep(lookTime) }
	w.start = func(watch func()) { go watch() }
}

func (w *waits) step() {
	if w.at != nil {
		w.at()
	}
}

// born counts one goroutine more. Whoever starts it calls this before.
func (w *waits) born() {
	atomic.AddInt64(&w.epoch, 1)
	w.step()
	atomic.AddInt32(&w.live, 1)
	w.step()
	atomic.AddInt64(&w.epoch, 1)
}

// gone notes the end of a goroutine. Those that still wait may now be the only
// ones: a goroutine left over from an interrupted cell must not hide a
// deadlock of the next.
func (w *waits) gone() {
	atomic.AddInt64(&w.epoch, 1)
	w.step()
	atomic.AddInt32(&w.live, -1)
	w.step()
	w.poke()
}

// begin notes that the calling goroutine is going to wait for another.
func (w *waits) begin() {
	atomic.AddInt64(&w.epoch, 1)
	w.step()
	atomic.AddInt32(&w.blocked, 1)
	w.step()
	w.poke()
}

// end notes that it runs again.
func (w *waits) end() {
	w.step()
	atomic.AddInt64(&w.epoch, 1)
	w.step()
	atomic.AddInt32(&w.blocked, -1)
	w.step()
	atomic.AddInt64(&w.epoch, 1)
}

// poll is one goroutine's waiting by trying again and again.
type poll struct{ failed int64 }

// try tries once. A failure counts for the epoch before it.
func (w *waits) try(p *poll, try func() bool) bool {
	epoch := atomic.LoadInt64(&w.epoch)
	w.step()
	if try() {
		return true
	}
	w.step()
	atomic.StoreInt64(&p.failed, epoch)
	return false
}

// poke has somebody watch if all goroutines may be waiting.
func (w *waits) poke() {
	if !w.watched.Load() && w.allWait() && w.watched.CompareAndSwap(false, true) {
		w.start(w.watch)
	}
}

// allWait reports what the counters say.
func (w *waits) allWait() bool {
	blocked := atomic.LoadInt32(&w.blocked)
	w.step()
	return blocked > 0 && blocked >= atomic.LoadInt32(&w.live) && !w.wakers.Load() && w.stuck() != nil
}

// watch looks until a goroutine runs or a deadlock is certain.
func (w *waits) watch() {
	epoch, still := atomic.LoadInt64(&w.epoch), 0
	for {
		w.pause()
		if !w.allWait() {
			// Whoever began to wait while this watch was still there has
			// started none: one look more, after leaving.
			w.watched.Store(false)
			w.step()
			if !w.allWait() || !w.watched.CompareAndSwap(false, true) {
				return
			}
			still = 0
			continue
		}
		if now := atomic.LoadInt64(&w.epoch); now != epoch {
			epoch, still = now, 0
			continue
		}
		if still++; still < stillLooks {
			continue
		}
		still = 0
		if declare := w.certain(); declare != nil {
			declare()
		}
	}
}

// certain returns what to do if all goroutines wait for each other for ever,
// else nil.
func (w *waits) certain() (declare func()) {
	epoch := atomic.LoadInt64(&w.epoch)
	w.step()
	if !w.allWait() {
		return nil
	}
	tried := true
	w.polls.Range(func(p, _ any) bool {
		tried = atomic.LoadInt64(&p.(*poll).failed) == epoch
		return tried
	})
	w.step()
	if !tried || w.moves() {
		return nil
	}
	w.step()
	if atomic.LoadInt64(&w.epoch) != epoch {
		return nil
	}
	return w.stuck()
}

// anyMoves takes a picture of all goroutines and reports whether one of a
// cell's could run. One that polls is left to its poll.
func anyMoves() bool {
	buf := make([]byte, 1<<16)
	for {
		n := runtime.Stack(buf, true)
		if n < len(buf) {
			buf = buf[:n]
			break
		}
		buf = make([]byte, 2*len(buf))
	}
	_, others, _ := bytes.Cut(buf, []byte("\n\n")) // the first is the caller
	for len(others) > 0 {
		var g []byte
		g, others, _ = bytes.Cut(others, []byte("\n\n"))
		head, rest, _ := bytes.Cut(g, []byte("\n"))
		if bytes.Contains(rest, []byte("interpreter/vm.")) && !asleep(head) &&
			!bytes.Contains(rest, []byte("interpreter/vm.(*Thread).lock(")) {
			return true
		}
	}
	return false
}

// asleep reports whether the first line of a goroutine's stack says that it
// waits for another.
func asleep(head []byte) bool {
	_, state, _ := bytes.Cut(head, []byte("["))
	for _, s := range []string{"select", "chan receive", "chan send", "semacquire", "sync.", "sleep"} {
		if bytes.HasPrefix(state, []byte(s)) {
			return true
		}
	}
	return false
}
