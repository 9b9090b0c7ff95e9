package stdstreams

import (
	"bytes"
	"os"
	"sync"
	"time"
)

// hold is how long text that may be the last words of a process waits for its
// end: they are told in other words then.
const hold = 400 * time.Millisecond

// Streams hands on what another process writes to its standard output and
// error, to the last byte when it dies.
type Streams struct{ streams [2]*stream }

// Open makes the two pipes and returns their writing ends, for the other
// process; the caller closes these once it runs. emit is as for Start.
func Open(emit func(Name, string)) (o *Streams, ends [2]*os.File, err error) {
	o = new(Streams)
	mu := new(sync.Mutex)
	for i, name := range []Name{Stdout, Stderr} {
		p, w, err := between()
		if err != nil {
			return nil, ends, err
		}
		s := newStream(name, emit, p, mu)
		if name == Stderr {
			s.suspect = lastWords
		}
		o.streams[i], ends[i] = s, w
	}
	inOrder(o.streams[0], o.streams[1])
	for _, s := range o.streams {
		go s.run()
	}
	return o, ends, nil
}

// Flush hands on everything written before the call.
func (o *Streams) Flush() {
	for _, s := range o.streams {
		s.flush()
	}
}

// Dying says that the other process gives up: what may be its last words waits
// for Close, however long that takes.
func (o *Streams) Dying() {
	for _, s := range o.streams {
		s.mu.Lock()
		s.dying = true
		s.mu.Unlock()
	}
}

// Close hands on what the process has left, but for its run time's last words
// on standard error, which it returns; they begin as dying says, if that is
// not empty.
func (o *Streams) Close(dying string) (last string) {
	for _, s := range o.streams {
		last += s.end(dying)
		s.pipe.close()
	}
	return last
}

// without returns how many of the first n bytes may be handed on at once.
func (s *stream) without(n int) int {
	if s.suspect == nil {
		return n
	}
	at := s.suspect(s.pending[:n])
	if at < 0 {
		s.since = time.Time{}
		return n
	}
	if s.since.IsZero() {
		s.since = time.Now()
	}
	if s.dying {
		return at
	}
	left := hold - time.Since(s.since)
	if left <= 0 {
		s.since = time.Time{}
		return n
	}
	s.armed = true
	s.timer.Reset(left)
	return at
}

// beginnings are how the run time's last words begin.
var beginnings = [][]byte{
	[]byte("fatal error: "), []byte("panic: "), []byte("runtime: "), []byte("SIG"), []byte("unexpected fault address "),
	[]byte("[signal SIG"), []byte("fatal: "), []byte("Exception "), []byte("runtime/cgo: "), []byte("goroutine "),
}

// lastWords returns where a line begins in text as the run time's last words
// do, −1 where none does.
func lastWords(text []byte) int {
	for at := 0; at < len(text); {
		line := text[at:]
		for _, b := range beginnings {
			if bytes.HasPrefix(line, b) {
				return at
			}
		}
		next := bytes.IndexByte(line, '\n')
		if next < 0 {
			break
		}
		at += next + 1
	}
	return -1
}

// end hands on what is left, up to the last words, and returns those.
func (s *stream) end(dying string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	suspect := s.suspect
	s.suspect = func(p []byte) int { return 0 } // whatever comes now waits
	s.since = time.Now().Add(time.Hour)
	s.fetch()
	s.timer.Stop()
	s.suspect = nil
	at := -1
	if suspect != nil {
		if at = bytes.LastIndex(s.pending, []byte(dying)); at < 0 || dying == "" {
			at = suspect(s.pending)
		}
	}
	if at < 0 {
		s.send(true)
		return ""
	}
	last := string(s.pending[at:])
	s.pending = s.pending[:at]
	s.send(true)
	return last
}
