package stdstreams

import "golang.org/x/sys/unix"

// unread returns how many bytes wait in the pipe behind a descriptor.
func unread(fd int) int {
	n, err := unix.IoctlGetInt(fd, fionread)
	if err != nil {
		return 0
	}
	return n
}
