// Package stdstreams takes over the process's standard streams, at the level of
// file descriptors, since compiled code writes os.Stdout as well as cells do.
package stdstreams

import (
	"os"
	"runtime/debug"
	"sync"
	"time"
	"unicode/utf8"
)

// Name tells the two output streams apart, in Jupyter's words.
type Name string

// The two output streams.
const (
	Stdout Name = "stdout"
	Stderr Name = "stderr"
)

const (
	// batchTime is how long text may wait for more before it is handed on,
	// batchBytes how much: thousands of single lines would overrun the queues
	// of front ends.
	batchTime  = 25 * time.Millisecond
	batchBytes = 1 << 19
)

// Output hands on what the process writes to standard output and error.
type Output struct {
	emit    func(Name, string)
	streams [2]*stream
	saved   [2]*os.File
}

// stream is one redirected descriptor.
type stream struct {
	name Name
	emit func(Name, string)
	pipe *pipe

	// mu is one for both streams: text is handed on in the order in which it
	// was read.
	mu      *sync.Mutex
	other   *stream
	turns   turns
	pending []byte
	timer   *time.Timer
	armed   bool
	// suspect finds what may be last words, which wait for hold; since says
	// since when they do; without limit with dying. Nil: nothing is looked for.
	suspect func([]byte) int
	since   time.Time
	dying   bool
}

// Start redirects both streams. emit is called with pieces of text, never by
// two goroutines at once for the same stream; it must not write to them.
func Start(emit func(Name, string)) (*Output, error) {
	o := &Output{emit: emit}
	mu := new(sync.Mutex)
	for i, name := range []Name{Stdout, Stderr} {
		p, saved, err := redirect(i + 1)
		if err != nil {
			o.Stop()
			return nil, err
		}
		o.streams[i], o.saved[i] = newStream(name, emit, p, mu), saved
	}
	inOrder(o.streams[0], o.streams[1])
	for _, s := range o.streams {
		go s.run()
	}
	ordered.Store(true)
	// If the runtime itself gives up, nobody is left to read the pipe.
	debug.SetCrashOutput(o.saved[1], debug.CrashOptions{})
	return o, nil
}

func newStream(name Name, emit func(Name, string), p *pipe, mu *sync.Mutex) *stream {
	s := &stream{name: name, emit: emit, pipe: p, mu: mu}
	s.timer = time.AfterFunc(time.Hour, s.flushPending)
	s.timer.Stop()
	return s
}

// Original returns the stream as it was before the redirection, for example
// to log what goes wrong with the kernel itself.
func (o *Output) Original(name Name) *os.File {
	if name == Stdout {
		return o.saved[0]
	}
	return o.saved[1]
}

// Flush hands on everything written before the call.
func (o *Output) Flush() {
	for _, s := range o.streams {
		s.flush()
	}
}

// Stop hands on the rest and gives the streams back.
func (o *Output) Stop() {
	debug.SetCrashOutput(nil, debug.CrashOptions{})
	ordered.Store(false)
	for i, s := range o.streams {
		if s == nil {
			continue
		}
		s.flush()
		restore(i+1, o.saved[i])
	}
}

// add appends text under the lock and hands it on when there is much.
func (s *stream) add(p []byte) {
	if o := s.other; o != nil && len(o.pending) > 0 && len(p) > 0 {
		o.send(false) // it was written before
		o.turn()
	}
	s.pending = append(s.pending, p...)
	if len(s.pending) >= batchBytes {
		s.send(false)
		return
	}
	if !s.armed && len(s.pending) > 0 {
		s.armed = true
		s.timer.Reset(batchTime)
	}
}

func (s *stream) flushPending() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.send(false)
}

// send hands on pending text. A character cut in two waits for its rest,
// unless all must go now.
func (s *stream) send(all bool) {
	s.armed = false
	n := len(s.pending)
	if !all {
		n = s.without(wholeRunes(s.pending))
	} else {
		s.since = time.Time{}
	}
	if n == 0 {
		return
	}
	text := string(s.pending[:n])
	s.pending = append(s.pending[:0], s.pending[n:]...)
	if cap(s.pending) > 4*batchBytes {
		s.pending = nil
	}
	s.emit(s.name, text)
}

// wholeRunes returns how many bytes of p end with a complete character.
func wholeRunes(p []byte) int {
	for back := 1; back < utf8.UTFMax && back <= len(p); back++ {
		b := p[len(p)-back]
		if utf8.RuneStart(b) {
			if b >= utf8.RuneSelf && !utf8.FullRune(p[len(p)-back:]) {
				return len(p) - back
			}
			break
		}
	}
	return len(p)
}
