//go:build unix

package stdstreams

import (
	"os"

	"golang.org/x/sys/unix"
)

// waiting returns how many bytes a reader of f would get at once. It asks
// beside the reader: f.Fd would take the descriptor out of the poller.
func waiting(f *os.File) int {
	n := 0
	if raw, err := f.SyscallConn(); err == nil {
		raw.Control(func(fd uintptr) {
			n, _ = unix.IoctlGetInt(int(fd), fionread)
		})
	}
	return n
}
