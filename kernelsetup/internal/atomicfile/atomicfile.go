// Package atomicfile writes files in one step: whoever looks finds the whole
// old file or the whole new one, also after a crash or with a full disk.
package atomicfile

import (
	"crypto/rand"
	"errors"
	"fmt"
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
// and then take the file's name. What is no regular file (a pipe, a terminal,
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
	temporary, err := writeTemporary(target, data, perm, old)
	if err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	if err := os.Rename(temporary, target); err != nil {
		os.Remove(temporary)
		return fmt.Errorf("writing %s: %w", path, err)
	}
	flushFolder(filepath.Dir(target))
	return nil
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

// writeTemporary writes a file beside target, with the mode and owner of old
// unless that is nil, and returns its path.
func writeTemporary(target string, data []byte, perm fs.FileMode, old fs.FileInfo) (string, error) {
	if old != nil {
		perm = old.Mode().Perm()
	}
	// Not os.CreateTemp: its files are closed to others whatever the umask.
	path := filepath.Join(filepath.Dir(target), ".bonnetbook-"+rand.Text()+".tmp")
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, perm)
	if err != nil {
		return "", err
	}
	_, err = f.Write(data)
	if err == nil && old != nil {
		keepOwner(f, old)
		err = f.Chmod(perm)
	}
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		os.Remove(path)
		return "", err
	}
	return path, nil
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
