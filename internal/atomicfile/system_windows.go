package atomicfile

import (
	"io/fs"
	"os"
	"time"

	"golang.org/x/sys/windows"
)

// movesOpen says that an open file can be given another name.
const movesOpen = false

// keepOwner does nothing: a new file takes its owner and rights from its
// folder.
func keepOwner(*os.File, fs.FileInfo) {}

// moveToNew gives a file a name that nothing has yet.
func moveToNew(from, to string) error {
	f, err := windows.UTF16PtrFromString(from)
	if err != nil {
		return err
	}
	t, err := windows.UTF16PtrFromString(to)
	if err != nil {
		return err
	}
	// Without MOVEFILE_REPLACE_EXISTING.
	return windows.MoveFileEx(f, t, windows.MOVEFILE_WRITE_THROUGH)
}

// lock does nothing: Windows removes no file that somebody writes.
func lock(*os.File) bool { return false }

// removeAbandoned removes a temporary file unless somebody writes it, which
// the system sees to.
func removeAbandoned(path string) {
	if info, err := os.Lstat(path); err == nil && info.Mode().IsRegular() && time.Since(info.ModTime()) > time.Minute {
		os.Remove(path)
	}
}
