//go:build unix

package worker

import (
	"os"

	"golang.org/x/sys/unix"
)

// streams keeps what leads to the other process open when a cell closes it.
type streams struct {
	kept  [3]int
	files [3]*os.File
}

// keepStreams is called before any cell runs.
func keepStreams() *streams {
	s := &streams{files: [3]*os.File{1: os.Stdout, 2: os.Stderr}}
	for fd := 1; fd <= 2; fd++ {
		s.kept[fd], _ = unix.FcntlInt(uintptr(fd), unix.F_DUPFD_CLOEXEC, 10)
	}
	return s
}

// reopen opens again what a cell has closed, and returns what to tell of it.
func (s *streams) reopen() (notices []string) {
	for fd, at := range []**os.File{1: &os.Stdout, 2: &os.Stderr} {
		var st unix.Stat_t
		if fd == 0 || s.kept[fd] <= 0 || unix.Fstat(fd, &st) != unix.EBADF {
			continue
		}
		to, err := unix.FcntlInt(uintptr(s.kept[fd]), unix.F_DUPFD, fd)
		if err != nil || to != fd {
			unix.Close(to)
			continue
		}
		name := []string{1: "os.Stdout", 2: "os.Stderr"}[fd]
		if *at == s.files[fd] {
			*at = os.NewFile(uintptr(fd), s.files[fd].Name())
			s.files[fd] = *at
		}
		notices = append(notices, "the cell closed "+name+"; it is open again for the next one")
	}
	return notices
}
