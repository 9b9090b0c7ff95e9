package supervisor

import (
	"os"

	"golang.org/x/sys/unix"
)

// shared returns a file in memory for this process and another one, nil where
// there is none to be had.
func shared() *os.File {
	fd, err := unix.MemfdCreate("note", unix.MFD_CLOEXEC)
	if err != nil {
		return nil
	}
	return os.NewFile(uintptr(fd), "note")
}
