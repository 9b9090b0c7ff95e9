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
	boot := bootTime()
	for _, pid := range ChildrenOf(os.Getpid()) {
		name, f := statOf(pid)
		if len(f) < 20 || f[0][0] == 'Z' {
			continue
		}
		c := Child{Pid: pid, Processor: span(f[11]) + span(f[12]), Started: boot.Add(span(f[19]))}
		line, _ := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/cmdline")
		c.Command = strings.TrimSpace(strings.ReplaceAll(string(line), "\x00", " "))
		if c.Command == "" {
			c.Command = name
		}
		list = append(list, c)
	}
	return list
}

// statOf reads a process's name and what follows it in /proc: its state, its
// parent and more; nothing where it is gone.
func statOf(pid int) (name string, fields [][]byte) {
	stat, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat")
	if err != nil {
		return "", nil
	}
	// pid (name) state parent …; the name may hold anything
	end := bytes.LastIndexByte(stat, ')')
	return string(stat[bytes.IndexByte(stat, '(')+1 : max(end, 0)]), bytes.Fields(stat[end+1:])
}

// span is a time in ticks.
func span(number []byte) time.Duration {
	n, _ := strconv.ParseInt(string(number), 10, 64)
	return time.Duration(n) * time.Second / ticks
}

func bootTime() time.Time {
	var up float64
	data, _ := os.ReadFile("/proc/uptime")
	fmt.Sscan(string(data), &up)
	return time.Now().Add(-time.Duration(up * float64(time.Second)))
}

// End ends a child process and all below it.
func (c Child) End() { EndTree(c.Pid) }

// TimeOf is the processor time that a process has used, without its children.
func TimeOf(pid int) (time.Duration, bool) {
	_, f := statOf(pid)
	if len(f) < 13 {
		return 0, false
	}
	return span(f[11]) + span(f[12]), true
}

// Reap takes the status of a child process that has ended, if nobody waits for
// it.
func (c Child) Reap() { syscall.Wait4(c.Pid, nil, syscall.WNOHANG, nil) }

// EndTree ends a process and all below it.
func EndTree(pid int) {
	below := ChildrenOf(pid)
	syscall.Kill(pid, syscall.SIGKILL)
	for _, p := range below {
		EndTree(p)
	}
}

// ChildrenOf lists the processes whose parent is pid.
func ChildrenOf(pid int) (list []int) {
	entries, _ := os.ReadDir("/proc")
	want := []byte(strconv.Itoa(pid))
	for _, e := range entries {
		child, err := strconv.Atoi(e.Name())
		if err != nil {
			continue
		}
		if _, f := statOf(child); len(f) > 1 && bytes.Equal(f[1], want) {
			list = append(list, child)
		}
	}
	return list
}
