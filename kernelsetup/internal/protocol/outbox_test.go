package protocol

import (
	"fmt"
	"net"
	"testing"
	"time"

	"github.com/go-zeromq/zmq4"
	"github.com/go-zeromq/zmq4/security/null"
)

// A peer that does not read for a while holds up nobody, and then gets all in
// order: the message that was cut in the middle, and those behind it.
func TestSlowPeerLosesNothing(t *testing.T) {
	o, c := slowPeer(t)

	const n, size = 2500, 8 << 10 // more than the system's buffers hold
	sent := make(chan struct{})
	go func() {
		for i := range n {
			o.send([][]byte{fmt.Append(nil, i), make([]byte, size)})
		}
		close(sent)
	}()
	select {
	case <-sent:
	case <-time.After(20 * time.Second):
		t.Fatal("the sender waits for a peer that does not read")
	}
	for i := range n {
		m, err := c.RecvMsg()
		if err != nil {
			t.Fatal(err)
		}
		if len(m.Frames) != 2 || string(m.Frames[0]) != fmt.Sprint(i) || len(m.Frames[1]) != size {
			t.Fatalf("message %d came as %q with %d frames", i, m.Frames[0], len(m.Frames))
		}
	}
	o.drain(time.Now().Add(10 * time.Second))
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.bytes != 0 || o.closed {
		t.Errorf("%d bytes left in the account, closed %v", o.bytes, o.closed)
	}
}

// slowPeer returns the box of a peer and the peer's end, which nobody reads yet.
func slowPeer(t *testing.T) (*outbox, *zmq4.Conn) {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { ln.Close() })
	client := make(chan *zmq4.Conn, 1)
	go func() {
		defer close(client)
		there, err := net.Dial("tcp", ln.Addr().String())
		if err != nil {
			t.Error(err)
			return
		}
		c, err := zmq4.Open(there, null.Security(), zmq4.Dealer, nil, false, nil)
		if err != nil {
			t.Error(err)
			return
		}
		client <- c
	}()
	here, err := ln.Accept()
	if err != nil {
		t.Fatal(err)
	}
	p, err := greet(here, zmq4.Router, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	c := <-client
	if c == nil {
		t.FailNow()
	}
	t.Cleanup(func() { c.Close() })
	o := newOutbox(p)
	t.Cleanup(o.close)
	return o, c
}

// A peer that reads a little now and then would delay others for half a second
// with every message; it is waited for only so long in all.
func TestPeerThatReadsALittle(t *testing.T) {
	o, c := slowPeer(t)
	stop := make(chan struct{})
	defer close(stop)
	go func() {
		for {
			select {
			case <-stop:
				return
			case <-time.After(100 * time.Millisecond):
			}
			if _, err := c.RecvMsg(); err != nil {
				return
			}
		}
	}()
	const size = 1 << 20
	for !o.behind() {
		o.send([][]byte{make([]byte, size)})
	}
	o.mu.Lock()
	o.patience = 700 * time.Millisecond // only now: a box that was empty once starts over
	o.mu.Unlock()
	closed := func() bool {
		o.mu.Lock()
		defer o.mu.Unlock()
		return o.closed
	}
	began, sent := time.Now(), 0
	for ; !closed() && sent < 200; sent++ {
		o.sendBeside([][]byte{make([]byte, size)}, besideLimit)
	}
	// One message alone is waited for less than that: at least two, then.
	if spent := time.Since(began); sent < 2 || sent == 200 || spent < 600*time.Millisecond || spent > time.Minute {
		t.Errorf("%d messages were sent in %v", sent, spent)
	}
}
