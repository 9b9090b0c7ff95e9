package stdstreams

import (
	"os"
	"unsafe"

	"golang.org/x/sys/windows"
)

var peekNamedPipe = windows.NewLazySystemDLL("kernel32.dll").NewProc("PeekNamedPipe")

// waiting returns how many bytes a reader of f would get at once.
func waiting(f *os.File) int {
	var n uint32
	if raw, err := f.SyscallConn(); err == nil {
		raw.Control(func(fd uintptr) {
			peekNamedPipe.Call(fd, 0, 0, 0, uintptr(unsafe.Pointer(&n)), 0)
		})
	}
	return int(n)
}
