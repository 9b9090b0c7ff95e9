package leftover

import (
	"bytes"
	"fmt"
	"net"
	"os"
	"strconv"
	"strings"
	"syscall"
	"time"

	"golang.org/x/sys/unix"
)

// Sockets lists this process's open sockets.
func Sockets() (list []Socket) {
	entries, _ := os.ReadDir("/proc/self/fd")
	for _, e := range entries {
		to, err := os.Readlink("/proc/self/fd/" + e.Name())
		if err != nil || !strings.HasPrefix(to, "socket:") {
			continue
		}
		fd, err := strconv.Atoi(e.Name())
		if err != nil {
			continue
		}
		s := Socket{fd: fd}
		if listens, err := unix.GetsockoptInt(fd, unix.SOL_SOCKET, unix.SO_ACCEPTCONN); err == nil && listens == 1 {
			if at, err := unix.Getsockname(fd); err == nil {
				s.Address = address(at)
			}
		}
		list = append(list, s)
	}
	return list
}

func address(at unix.Sockaddr) string {
	switch at := at.(type) {
	case *unix.SockaddrInet4:
		return net.JoinHostPort(net.IP(at.Addr[:]).String(), strconv.Itoa(at.Port))
	case *unix.SockaddrInet6:
		return net.JoinHostPort(net.IP(at.Addr[:]).String(), strconv.Itoa(at.Port))
	case *unix.SockaddrUnix:
		return at.Name
	}
	return "?"
}

// Shut wakes whoever waits at a socket, with an error; its port is free.
func (s Socket) Shut() { unix.Shutdown(s.fd, unix.SHUT_RDWR) }

// Drop closes what a socket still holds, behind the back of whoever has it:
// the descriptor stays, and leads nowhere.
func (s Socket) Drop() {
	kind := func() string {
		to, _ := os.Readlink("/proc/self/fd/" + strconv.Itoa(s.fd))
		return to
	}
	if !strings.HasPrefix(kind(), "socket:") {
		return
	}
	if null, err := unix.Open("/dev/null", unix.O_RDWR|unix.O_CLOEXEC, 0); err == nil {
		unix.Dup3(null, s.fd, unix.O_CLOEXEC)
		unix.Close(null)
	}
}

// ticks is USER_HZ, the unit of times in /proc.
const ticks = 100

// Children lists this process's children that have not ended.
func Children() (list []Child) {
	entries, _ := os.ReadDir("/proc")
	self := []byte(strconv.Itoa(os.Getpid()))
	boot := bootTime()
	for _, e := range entries {
		pid, err := strconv.Atoi(e.Name())
		if err != nil {
			continue
		}
		stat, err := os.ReadFile("/proc/" + e.Name() + "/stat")
		if err != nil {
			continue
		}
		// pid (name) state parent …; the name may hold anything
		end := bytes.LastIndexByte(stat, ')')
		f := bytes.Fields(stat[end+1:])
		if len(f) < 20 || !bytes.Equal(f[1], self) || f[0][0] == 'Z' {
			continue
		}
		number := func(i int) int64 {
			n, _ := strconv.ParseInt(string(f[i]), 10, 64)
			return n
		}
		c := Child{Pid: pid, Processor: time.Duration(number(11)+number(12)) * time.Second / ticks}
		c.Started = boot.Add(time.Duration(number(19)) * time.Second / ticks)
		line, _ := os.ReadFile("/proc/" + e.Name() + "/cmdline")
		c.Command = strings.TrimSpace(strings.ReplaceAll(string(line), "\x00", " "))
		if c.Command == "" {
			c.Command = string(stat[bytes.IndexByte(stat, '(')+1 : end])
		}
		list = append(list, c)
	}
	return list
}

func bootTime() time.Time {
	var up float64
	data, _ := os.ReadFile("/proc/uptime")
	fmt.Sscan(string(data), &up)
	return time.Now().Add(-time.Duration(up * float64(time.Second)))
}

// End ends a child process and all below it.
func (c Child) End() { end(c.Pid) }

// TimeOf is the processor time that a process has used, without its children.
func TimeOf(pid int) (time.Duration, bool) {
	stat, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat")
	if err != nil {
		return 0, false
	}
	f := bytes.Fields(stat[bytes.LastIndexByte(stat, ')')+1:])
	if len(f) < 13 {
		return 0, false
	}
	user, _ := strconv.ParseInt(string(f[11]), 10, 64)
	system, _ := strconv.ParseInt(string(f[12]), 10, 64)
	return time.Duration(user+system) * time.Second / ticks, true
}

// Reap takes the status of a child process that has ended, if nobody waits for
// it.
func (c Child) Reap() { syscall.Wait4(c.Pid, nil, syscall.WNOHANG, nil) }

func end(pid int) {
	below := childrenOf(pid)
	syscall.Kill(pid, syscall.SIGKILL)
	for _, p := range below {
		end(p)
	}
}

func childrenOf(pid int) (list []int) {
	entries, _ := os.ReadDir("/proc")
	want := []byte(strconv.Itoa(pid))
	for _, e := range entries {
		child, err := strconv.Atoi(e.Name())
		if err != nil {
			continue
		}
		stat, err := os.ReadFile("/proc/" + e.Name() + "/stat")
		if err != nil {
			continue
		}
		if f := bytes.Fields(stat[bytes.LastIndexByte(stat, ')')+1:]); len(f) > 1 && bytes.Equal(f[1], want) {
			list = append(list, child)
		}
	}
	return list
}
