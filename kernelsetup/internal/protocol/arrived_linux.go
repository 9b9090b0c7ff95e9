package protocol

import (
	"net"

	"golang.org/x/sys/unix"
)

// arrived is how many bytes have come on a connection, those that nobody has
// read yet among them; 0 where that is not known.
func arrived(c net.Conn) (n uint64) {
	tcp, ok := c.(*net.TCPConn)
	if !ok {
		return 0
	}
	raw, err := tcp.SyscallConn()
	if err != nil {
		return 0
	}
	raw.Control(func(fd uintptr) {
		if info, err := unix.GetsockoptTCPInfo(int(fd), unix.IPPROTO_TCP, unix.TCP_INFO); err == nil {
			n = info.Bytes_received
		}
	})
	return n
}
