//go:build unix

package atomicfile

import (
	"io/fs"
	"os"
	"syscall"
)

// keepOwner gives a file the owner and group of another. Only root may do so
// in general; for everybody else the new file is the writer's.
func keepOwner(f *os.File, old fs.FileInfo) {
	if s, ok := old.Sys().(*syscall.Stat_t); ok {
		f.Chown(int(s.Uid), int(s.Gid))
	}
}
