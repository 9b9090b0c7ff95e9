// Package atomicfile writes files in one step: whoever looks finds the whole
// old file or the whole new one, also after a crash or with a full disk. It is
// the only writer of the project, for the library and for the kernel.
package atomicfile

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
)

// Write makes data the content of the file at path. A new file gets the mode
// perm, less the process's umask; one that is there keeps its mode and, where
// the system lets us, its owner. A symbolic link stays and the file that it
// leads to is written, the last of a chain, made where missing. Other hard
// links to the file keep the old content.
//
// The data go to a temporary file in the same folder, are flushed to the disk
// and then take the file's name; what processes left there that were killed
// while they wrote is removed. What is no regular file (a pipe, a terminal,
// /dev/null) is written straight.
//
// The error names the path; it is returned where the file is a folder, may not
// be written, or its folder takes no new file. Nothing has changed then, and
// no temporary file is left.
func Write(path string, data []byte, perm fs.FileMode) error {
	target, err := Target(path)
	if err != nil {
		return err
	}
	old, err := os.Stat(target)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		old = nil
	case err != nil:
		return err
	case old.IsDir():
		return fmt.Errorf("%s is a folder, not a file", path)
	case !old.Mode().IsRegular():
		return writeStraight(target, data)
	default:
		// A name can be taken from a file that may not be written; ask first.
		f, err := os.OpenFile(target, os.O_WRONLY, 0)
		if err != nil {
			return err
		}
		f.Close()
	}
	t, err := newTemporary(filepath.Dir(target), perm, old)
	if err == nil {
		err = t.finish(func(w io.Writer) error { return all(w, data) }, func() error { return os.Rename(t.path, target) })
	}
	if err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	flushFolder(filepath.Dir(target))
	return nil
}

// Create makes a file at path of what write writes, with the mode perm less
// the process's umask. What is there already, be it a link that leads nowhere,
// is left as it is; the error says so and wraps [fs.ErrExist].
//
// The file appears whole or not at all, as with [Write]; an error of write is
// returned and leaves nothing. Other errors name the path: the folder is
// missing or takes no new file, or the disk is full.
func Create(path string, perm fs.FileMode, write func(io.Writer) error) error {
	if _, err := os.Lstat(path); err == nil {
		return taken(path)
	}
	t, err := newTemporary(filepath.Dir(path), perm, nil)
	if err == nil {
		err = t.finish(write, func() error { return moveToNew(t.path, path) })
	}
	switch {
	case errors.Is(err, fs.ErrExist):
		return taken(path)
	case err != nil:
		return fmt.Errorf("writing %s: %w", path, err)
	}
	flushFolder(filepath.Dir(path))
	return nil
}

// taken is the error about a path at which there is something already.
type taken string

func (path taken) Error() string {
	return string(path) + " exists already and is left as it is; choose another name, or remove it first"
}

func (taken) Unwrap() error { return fs.ErrExist }

func all(w io.Writer, data []byte) error {
	_, err := w.Write(data)
	return err
}

// Target follows symbolic links and returns the path of the file that a write
// to path changes, whether it is there or not. It returns an error where links
// lead in a circle.
func Target(path string) (string, error) {
	const most = 40 // as Linux has it
	for range most {
		info, err := os.Lstat(path)
		if err != nil || info.Mode()&fs.ModeSymlink == 0 {
			return path, nil // what is wrong is said by whoever writes
		}
		// Links of the system's own, such as /dev/stdout, name what has no path.
		if end, err := os.Stat(path); err == nil && !end.Mode().IsRegular() {
			return path, nil
		}
		to, err := os.Readlink(path)
		if err != nil {
			return "", err
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(path), to)
		}
		path = to
	}
	return "", fmt.Errorf("%s: symbolic links lead in a circle", path)
}

func writeStraight(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Close())
}

// flushFolder makes a new name last. Where that cannot be had (Windows, some
// network disks) a crash may bring the whole old file back.
func flushFolder(dir string) {
	if runtime.GOOS == "windows" {
		return
	}
	if d, err := os.Open(dir); err == nil {
		d.Sync()
		d.Close()
	}
}
