//go:build unix

package atomicfile

import (
	"errors"
	"io/fs"
	"os"
	"syscall"
	"time"
)

// movesOpen says that an open file can be given another name.
const movesOpen = true

// keepOwner gives a file the owner and group of another. Only root may do so
// in general; for everybody else the new file is the writer's.
func keepOwner(f *os.File, old fs.FileInfo) {
	if s, ok := old.Sys().(*syscall.Stat_t); ok {
		f.Chown(int(s.Uid), int(s.Gid))
	}
}

// moveToNew gives a file a name that nothing has yet. A second link can't take
// the place of anything; where there are no links, as on some memory cards, a
// file that somebody makes in this very moment would be replaced.
func moveToNew(from, to string) error {
	err := renameToNew(from, to)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	err = os.Link(from, to)
	switch {
	case err == nil:
		os.Remove(from) // the next write in this folder does it otherwise
		return nil
	case errors.Is(err, fs.ErrExist):
		return err
	}
	if _, there := os.Lstat(to); there == nil {
		return fs.ErrExist
	}
	return os.Rename(from, to)
}

// lock marks a file as one whose process lives, and reports whether the file
// system can.
func lock(f *os.File) bool { return flock(f, syscall.LOCK_EX) == nil }

func flock(f *os.File, how int) error {
	for {
		if err := syscall.Flock(int(f.Fd()), how); !errors.Is(err, syscall.EINTR) {
			return err
		}
	}
}

// longAgo is after how long a file is taken for abandoned whose file system
// has no locks.
const longAgo = 24 * time.Hour

// removeAbandoned removes a temporary file whose process is gone.
func removeAbandoned(path string) {
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() {
		return
	}
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK|syscall.O_NOFOLLOW, 0)
	if err != nil {
		return
	}
	defer f.Close()
	switch err := flock(f, syscall.LOCK_EX|syscall.LOCK_NB); {
	case err == nil, !errors.Is(err, syscall.EWOULDBLOCK) && time.Since(info.ModTime()) > longAgo:
		os.Remove(path) // with the lock held: its process may be about to take it
	}
}
