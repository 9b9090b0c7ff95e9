package stdstreams

import (
	"io"
	"os"
	"sync"
	"sync/atomic"
	"time"
	"unsafe"
)

// Input stands in for standard input: whoever reads os.Stdin while nothing
// waits there makes the front end ask its user.
type Input struct {
	mu    sync.Mutex
	r, w  *os.File
	saved *os.File
	stop  chan struct{}
	done  chan struct{}
	watch *time.Timer // until its goroutine begins
	// ended is set when the pipe was closed because nobody answers.
	ended *atomic.Bool
}

// pollTime is how often a running cell is looked at for a waiting reader.
const pollTime = 10 * time.Millisecond

// StartInput replaces os.Stdin. Until Begin, reading it ends at once.
func StartInput() (*Input, error) {
	go canSeeReaders()  // takes a moment, which no cell should wait for
	ordered.Store(true) // who answers for the input reads the output, too
	in := &Input{saved: os.Stdin}
	if err := in.renew(); err != nil {
		return nil, err
	}
	in.closeWriter()
	return in, nil
}

// Begin lets reads of os.Stdin call ask for each line until End. A nil ask
// makes them end at once, as with an empty file.
func (in *Input) Begin(ask func() (string, error)) {
	in.mu.Lock()
	defer in.mu.Unlock()
	if ask == nil || !canSeeReaders() {
		in.closeWriter()
		return
	}
	if in.w == nil || in.ended.Load() {
		if in.renew() != nil {
			return
		}
	}
	in.stop, in.done = make(chan struct{}), make(chan struct{})
	// Most cells have ended by then.
	r, w, ended, stop, done := in.r, in.w, in.ended, in.stop, in.done
	in.watch = time.AfterFunc(pollTime, func() { serve(r, w, ended, ask, stop, done) })
}

// End stops asking. What was typed and not read is dropped, and a reader left
// behind by an interrupted cell sees the end of the file.
func (in *Input) End() {
	in.mu.Lock()
	defer in.mu.Unlock()
	if in.stop == nil {
		return
	}
	close(in.stop)
	if !in.watch.Stop() {
		<-in.done
	}
	in.stop = nil
	if reading(in.r) {
		in.closeWriter()
		return
	}
	// A reader kept for the next cell, such as a bufio.Reader, stays good.
	if n := waiting(in.r); n > 0 {
		io.ReadFull(in.r, make([]byte, n))
	}
}

// Stop gives os.Stdin back.
func (in *Input) Stop() {
	in.End()
	in.mu.Lock()
	defer in.mu.Unlock()
	in.closeWriter()
	os.Stdin = in.saved
}

func (in *Input) renew() error {
	r, w, err := os.Pipe()
	if err != nil {
		return err
	}
	in.r, in.w, in.ended = r, w, new(atomic.Bool)
	os.Stdin = r
	return nil
}

func (in *Input) closeWriter() {
	if in.w != nil {
		in.w.Close()
		in.w = nil
	}
}

// serve asks for a line whenever a reader has waited at an empty pipe for one
// whole interval.
func serve(r, w *os.File, ended *atomic.Bool, ask func() (string, error), stop, done chan struct{}) {
	defer close(done)
	tick := time.NewTicker(pollTime)
	defer tick.Stop()
	for waited := false; ; {
		starved := reading(r) && waiting(r) == 0
		if starved && waited {
			line, err := askUntil(ask, stop)
			if err != nil {
				if err != errStopped {
					ended.Store(true)
					w.Close()
				}
				return
			}
			io.WriteString(w, line+"\n")
			starved = false
		}
		waited = starved
		select {
		case <-stop:
			return
		case <-tick.C:
		}
	}
}

type stopped struct{}

func (stopped) Error() string { return "stopped" }

var errStopped error = stopped{}

// askUntil gives up waiting for an answer when the cell ends.
func askUntil(ask func() (string, error), stop chan struct{}) (string, error) {
	type answer struct {
		line string
		err  error
	}
	got := make(chan answer, 1)
	go func() {
		line, err := ask()
		got <- answer{line, err}
	}()
	select {
	case a := <-got:
		return a.line, a.err
	case <-stop:
		return "", errStopped
	}
}

// reading reports whether a goroutine is inside a Read of f. The runtime's
// lock on a descriptor says so: an os.File points to a structure that begins
// with the lock's state, in which bit 1 is set during a read. There is no
// public way to ask; canSeeReaders tries this one out before it is used.
func reading(f *os.File) bool {
	const readLocked = 1 << 1
	inner := *(**uint64)(unsafe.Pointer(f))
	return atomic.LoadUint64(inner)&readLocked != 0
}

var canSeeReaders = sync.OnceValue(func() bool {
	r, w, err := os.Pipe()
	if err != nil {
		return false
	}
	defer r.Close()
	if reading(r) {
		return false
	}
	done := make(chan struct{})
	go func() {
		r.Read(make([]byte, 1))
		close(done)
	}()
	seen := false
	for range 200 {
		if seen = reading(r); seen {
			break
		}
		time.Sleep(time.Millisecond / 4)
	}
	w.Write([]byte{0})
	w.Close()
	<-done
	return seen && !reading(r)
})
