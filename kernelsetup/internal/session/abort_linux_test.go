package session

import (
	"net"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/go-zeromq/zmq4"
	"github.com/go-zeromq/zmq4/security/null"
	"golang.org/x/sys/unix"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/worker"
)

// wire is a connection to the shell socket whose replies nobody reads.
type wire struct {
	*zmq4.Conn
	raw *net.TCPConn
}

func (w wire) Send(m zmq4.Msg) error { return w.SendMsg(m) }

// delivered waits until the kernel's system has all that was sent.
func (w wire) delivered(t *testing.T) {
	t.Helper()
	raw, err := w.raw.SyscallConn()
	if err != nil {
		t.Fatal(err)
	}
	for begun, left := time.Now(), true; left; time.Sleep(time.Millisecond) {
		raw.Control(func(fd uintptr) {
			info, err := unix.GetsockoptTCPInfo(int(fd), unix.IPPROTO_TCP, unix.TCP_INFO)
			left = err != nil || info.Unacked > 0 || info.Notsent_bytes > 0
		})
		if left && time.Since(begun) > time.Minute {
			t.Fatal("what was sent does not arrive")
		}
	}
}

// Requests that the kernel had no room to read yet when the error's reply left do
// not run, also where their dates say nothing; one sent afterwards does.
func TestRequestInTheSocketIsTooLate(t *testing.T) {
	size := inboxSize
	inboxSize = 1
	t.Cleanup(func() { inboxSize = size })
	f := failing{new(sync.Mutex), new([]string), make(chan struct{})}
	k := startTalk(t, Options{Worker: worker.Here(f)})
	k.dates = ""
	raw, err := net.Dial("tcp", "127.0.0.1:"+strconv.Itoa(k.at.ShellPort))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { raw.Close() })
	conn, err := zmq4.Open(raw, null.Security(), zmq4.Dealer, nil, false, nil)
	if err != nil {
		t.Fatal(err)
	}
	shell := wire{conn, raw.(*net.TCPConn)}
	send := func(code string) string {
		return k.sendOn(shell, "execute_request", map[string]any{"code": code})
	}
	for range 3 {
		ids := []string{send("fail")}
		for range 5 { // one in the inbox, one before it, three in the socket
			ids = append(ids, send("burst"))
		}
		shell.delivered(t)
		f.fails <- struct{}{}
		for _, id := range ids {
			k.idle(id, time.Minute)
		}
		k.idle(send("after"), time.Minute)
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if want := slices.Repeat([]string{"fail", "after"}, 3); !slices.Equal(*f.ran, want) {
		t.Errorf("ran %q, want %q", *f.ran, want)
	}
}
