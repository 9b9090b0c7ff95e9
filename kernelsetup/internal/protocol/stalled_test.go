package protocol

import (
	"context"
	"fmt"
	"net"
	"strings"
	"testing"
	"time"

	"github.com/go-zeromq/zmq4"
	"github.com/go-zeromq/zmq4/security/null"
)

// Somebody without the key subscribes, once or again and again, and reads nothing. What
// is published reaches the others meanwhile, complete and without a long wait.
func TestSubscriberThatDoesNotReadDelaysNobody(t *testing.T) {
	c := freeConnection(t)
	e := echoKernel(t, c)
	reader := dial(t, zmq4.NewSub(context.Background()), c.IOPubPort)
	if err := reader.SetOption(zmq4.OptionSubscribe, ""); err != nil {
		t.Fatal(err)
	}
	e.IOPub.WaitFor(1, 5*time.Second)
	const deaf = 3
	for again := range deaf {
		raw, err := net.Dial("tcp", net.JoinHostPort(c.IP, fmt.Sprint(c.IOPubPort)))
		if err != nil {
			t.Fatal(err)
		}
		defer raw.Close()
		s, err := zmq4.Open(raw, null.Security(), zmq4.Sub, nil, false, nil)
		if err != nil {
			t.Fatal(err)
		}
		go func() {
			for s.SendMsg(zmq4.NewMsg([]byte{1})) == nil && again > 0 {
				time.Sleep(50 * time.Millisecond)
			}
		}()
	}
	silent, err := net.Dial("tcp", net.JoinHostPort(c.IP, fmt.Sprint(c.IOPubPort))) // no handshake
	if err != nil {
		t.Fatal(err)
	}
	defer silent.Close()
	e.IOPub.WaitFor(1+deaf, 5*time.Second)
	if n := e.IOPub.Subscribers(); n != 1+deaf {
		t.Fatalf("%d subscribers", n)
	}

	const n, size = 900, 100 << 10 // 90 MB
	got := make(chan int)
	go func() {
		count := 0
		for count < n {
			m, err := reader.Recv()
			if err != nil {
				break
			}
			if strings.Contains(string(m.Bytes()), `"stream"`) {
				count++
			}
		}
		got <- count
	}()
	text := strings.Repeat("x", size)
	var longest time.Duration
	for range n {
		m, err := e.Author.New("stream", nil, map[string]string{"name": "stdout", "text": text})
		if err != nil {
			t.Fatal(err)
		}
		began := time.Now()
		e.IOPub.Publish(m)
		longest = max(longest, time.Since(began))
	}
	select {
	case count := <-got:
		if count != n {
			t.Errorf("%d of %d messages came", count, n)
		}
	case <-time.After(30 * time.Second):
		t.Error("the reader still waits")
	}
	if longest > stallLimit/4 {
		t.Errorf("the sender waited %v", longest)
	}
	t.Logf("waited %v at most", longest)
}
