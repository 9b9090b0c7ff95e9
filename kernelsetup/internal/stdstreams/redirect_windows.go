package stdstreams

import (
	"bytes"
	"crypto/rand"
	"os"
	"time"

	"golang.org/x/sys/windows"
)

// pipe is both ends of a redirected stream. Windows cannot read a pipe
// without waiting, so that a flush writes a mark and waits until it was read.
type pipe struct {
	r, w   *os.File
	mark   []byte
	marked chan struct{}
	// peeks: the other end is another process's, which writes no marks.
	peeks bool
}

// between makes a pipe to another process, which gets its writing end.
func between() (p *pipe, w *os.File, err error) {
	r, w, err := os.Pipe()
	if err != nil {
		return nil, nil, err
	}
	return &pipe{r: r, peeks: true}, w, nil
}

func (p *pipe) close() { p.r.Close() }

// peekTime is how often a pipe to another process is looked at.
const peekTime = 10 * time.Millisecond

// poll reads what is there, again and again.
func (s *stream) poll() {
	for {
		time.Sleep(peekTime)
		s.mu.Lock()
		err := s.pull()
		s.mu.Unlock()
		if err != nil {
			return
		}
	}
}

// pull reads what waits in the pipe; the lock is held.
func (s *stream) pull() error {
	for n := waiting(s.pipe.r); n > 0; n = waiting(s.pipe.r) {
		buf := make([]byte, n)
		n, err := s.pipe.r.Read(buf)
		s.add(buf[:n])
		if err != nil {
			return err
		}
	}
	_, err := s.pipe.r.Stat()
	return err
}

var stdHandles = map[int]uint32{1: windows.STD_OUTPUT_HANDLE, 2: windows.STD_ERROR_HANDLE}

func redirect(fd int) (*pipe, *os.File, error) {
	r, w, err := os.Pipe()
	if err != nil {
		return nil, nil, err
	}
	if err := windows.SetStdHandle(stdHandles[fd], windows.Handle(w.Fd())); err != nil {
		return nil, nil, err
	}
	var saved *os.File
	if fd == 1 {
		saved, os.Stdout = os.Stdout, w
	} else {
		saved, os.Stderr = os.Stderr, w
	}
	mark := make([]byte, 24)
	rand.Read(mark)
	return &pipe{r: r, w: w, mark: mark, marked: make(chan struct{}, 1)}, saved, nil
}

func restore(fd int, saved *os.File) {
	if saved == nil {
		return
	}
	windows.SetStdHandle(stdHandles[fd], windows.Handle(saved.Fd()))
	if fd == 1 {
		os.Stdout = saved
	} else {
		os.Stderr = saved
	}
}

func (s *stream) run() {
	if s.pipe.peeks {
		s.poll()
		return
	}
	buf := make([]byte, 64<<10)
	var held []byte // the beginning of a mark, perhaps
	for {
		n, err := s.pipe.r.Read(buf)
		s.mu.Lock()
		held = append(held, buf[:n]...)
		for {
			at := bytes.Index(held, s.pipe.mark)
			if at < 0 {
				break
			}
			s.add(held[:at])
			held = held[at+len(s.pipe.mark):]
			select {
			case s.pipe.marked <- struct{}{}:
			default:
			}
		}
		keep := overlap(held, s.pipe.mark)
		s.add(held[:len(held)-keep])
		held = bytes.Clone(held[len(held)-keep:])
		s.mu.Unlock()
		if err != nil {
			return
		}
	}
}

// overlap returns how many bytes at the end of p could begin the mark.
func overlap(p, mark []byte) int {
	for n := min(len(p), len(mark)-1); n > 0; n-- {
		if bytes.HasPrefix(mark, p[len(p)-n:]) {
			return n
		}
	}
	return 0
}

func (s *stream) flush() {
	if s.pipe.peeks {
		s.mu.Lock()
		defer s.mu.Unlock()
		s.pull()
		s.send(true)
		return
	}
	select {
	case <-s.pipe.marked:
	default:
	}
	if _, err := s.pipe.w.Write(s.pipe.mark); err == nil {
		select {
		case <-s.pipe.marked:
		case <-time.After(2 * time.Second):
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.send(true)
}

// fetch takes over what is in the pipe; the lock is held.
func (s *stream) fetch() {
	if s.pipe.peeks {
		s.pull()
	}
}
