//go:build unix

package stdstreams

import (
	"os"
	"syscall"

	"golang.org/x/sys/unix"
)

// pipe is the reading end of a redirected descriptor.
type pipe struct {
	file *os.File
	raw  syscall.RawConn
	fd   int
}

// redirect lets descriptor fd write into a new pipe and returns the pipe and
// the descriptor's former target.
func redirect(fd int) (*pipe, *os.File, error) {
	r, w, err := os.Pipe()
	if err != nil {
		return nil, nil, err
	}
	defer w.Close()
	enlarge(w)
	old, err := unix.FcntlInt(uintptr(fd), unix.F_DUPFD_CLOEXEC, 10)
	if err != nil {
		return nil, nil, err
	}
	// The copy of the writing end must block: os.Stdout knows nothing of
	// being asked to come back later.
	wfd := int(w.Fd())
	if err := unix.SetNonblock(wfd, false); err != nil {
		return nil, nil, err
	}
	if err := duplicate(wfd, fd); err != nil {
		return nil, nil, err
	}
	p, err := newPipe(r)
	if err != nil {
		return nil, nil, err
	}
	return p, os.NewFile(uintptr(old), "original"), nil
}

func newPipe(r *os.File) (*pipe, error) {
	raw, err := r.SyscallConn()
	if err != nil {
		return nil, err
	}
	p := &pipe{file: r, raw: raw}
	raw.Control(func(fd uintptr) { p.fd = int(fd) })
	return p, nil
}

// between makes a pipe to another process, which gets its writing end.
func between() (p *pipe, w *os.File, err error) {
	r, w, err := os.Pipe()
	if err != nil {
		return nil, nil, err
	}
	enlarge(w)
	if err := unix.SetNonblock(int(w.Fd()), false); err != nil {
		return nil, nil, err
	}
	p, err = newPipe(r)
	return p, w, err
}

func (p *pipe) close() { p.file.Close() }

func restore(fd int, saved *os.File) {
	if saved != nil {
		duplicate(int(saved.Fd()), fd)
	}
}

// run waits for text and takes it over, until the pipe is closed.
func (s *stream) run() {
	buf := make([]byte, 64<<10)
	for {
		open := true
		err := s.pipe.raw.Read(func(uintptr) bool {
			s.mu.Lock()
			defer s.mu.Unlock()
			n, eof := s.pull(buf)
			open = !eof
			return n > 0 || eof
		})
		if err != nil || !open {
			return
		}
	}
}

// flush reads what is in the pipe at this moment and hands it all on.
func (s *stream) flush() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.fetch()
	s.send(true)
}

// pull reads until the pipe is empty. The reading end does not block, and
// only holders of the lock read it.
func (s *stream) pull(buf []byte) (total int, eof bool) {
	for total < batchBytes {
		n, err := unix.Read(s.pipe.fd, buf)
		switch {
		case n > 0:
			s.add(buf[:n])
			total += n
			if n < len(buf) {
				return total, false
			}
		case err == unix.EINTR:
		case n == 0 && err == nil:
			return total, true
		default:
			return total, err != unix.EAGAIN
		}
	}
	return total, false
}

// fetch takes over what is in the pipe; the lock is held.
func (s *stream) fetch() {
	var buf [8 << 10]byte
	for {
		if n, eof := s.pull(buf[:]); n < batchBytes || eof {
			return
		}
	}
}
