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
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer ln.Close()
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
	defer c.Close()
	o := newOutbox(p)
	defer o.close()

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
