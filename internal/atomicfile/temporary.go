package atomicfile

import (
	"crypto/rand"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
)

// The names of temporary files begin and end so.
const prefix, suffix = ".bonnetbook-", ".tmp"

// A temporary is a file beside the one that it is to become. While its process
// lives it is locked, where the system has locks.
type temporary struct {
	file *os.File
	path string
	perm fs.FileMode
	old  fs.FileInfo // of the file that is to be replaced, nil for none
}

// newTemporary makes a file in a folder, with the mode of old unless that is
// nil, and removes what is left there of processes that are gone.
func newTemporary(folder string, perm fs.FileMode, old fs.FileInfo) (*temporary, error) {
	sweep(folder)
	if old != nil {
		perm = old.Mode().Perm()
	}
	for {
		// Not os.CreateTemp: its files are closed to others whatever the umask.
		path := filepath.Join(folder, prefix+rand.Text()+suffix)
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, perm)
		if err != nil {
			return nil, err
		}
		// Another process may have swept it away before it was locked.
		if lock(f) && !names(path, f) {
			f.Close()
			continue
		}
		return &temporary{file: f, path: path, perm: perm, old: old}, nil
	}
}

// names reports whether path still is the name of an open file.
func names(path string, f *os.File) bool {
	there, err := os.Lstat(path)
	if err != nil {
		return false
	}
	opened, err := f.Stat()
	return err == nil && os.SameFile(there, opened)
}

// finish writes the content, flushes it to the disk and gives the file its
// name. After an error nothing is left.
func (t *temporary) finish(write func(io.Writer) error, place func() error) error {
	err := write(t.file)
	if err == nil && t.old != nil {
		keepOwner(t.file, t.old)
		err = t.file.Chmod(t.perm)
	}
	if err == nil {
		err = flush(t.file)
	}
	if movesOpen {
		if err == nil {
			err = place()
		}
		t.file.Close() // flushed: nothing is left to go wrong
	} else if err = errors.Join(err, t.file.Close()); err == nil { // Windows renames no open file
		err = place()
	}
	if err != nil {
		os.Remove(t.path)
	}
	return err
}

// flush brings a file to the disk, on file systems that can.
func flush(f *os.File) error {
	err := f.Sync()
	if errors.Is(err, errors.ErrUnsupported) || errors.Is(err, syscall.EINVAL) {
		return nil
	}
	return err
}

// Leftover reports whether a name in a folder is one of a temporary file: what
// a process left that was killed while it wrote, or one being written.
func Leftover(name string) bool {
	return strings.HasPrefix(name, prefix) && strings.HasSuffix(name, suffix)
}

// sweep removes the temporary files of a folder whose processes are gone. What
// it can't do is not worth an error.
func sweep(folder string) {
	d, err := os.Open(folder)
	if err != nil {
		return
	}
	defer d.Close()
	for {
		list, err := d.Readdirnames(1024)
		for _, name := range list {
			if Leftover(name) {
				removeAbandoned(filepath.Join(folder, name))
			}
		}
		if err != nil {
			return
		}
	}
}
