package protocol

import (
	"fmt"
	"net"
	"testing"
	"time"

	"github.com/go-zeromq/zmq4"
	"github.com/go-zeromq/zmq4/security/null"
)

// written counts what a client writes.
type written struct {
	net.Conn
	n uint64
}

func (w *written) Write(p []byte) (int, error) {
	n, err := w.Conn.Write(p)
	w.n += uint64(n)
	return n, err
}

// What waits in a socket when a reply leaves is known by its mark, though it is
// read later, on every connection; what is sent on seeing the reply is not marked.
func TestMarkOfWhatNobodyHasRead(t *testing.T) {
	c := freeConnection(t)
	got, goOn := make(chan *Message), make(chan struct{})
	read := func(m *Message) {
		got <- m
		<-goOn
	}
	ignore := func(*Message) {}
	e, err := Bind(c, Handlers{Shell: read, Control: ignore, Stdin: ignore})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(e.Close)
	t.Cleanup(func() { close(goOn) })
	s := newSigner(c.Key)
	sent := 0
	send := func(client interface{ SendMsg(zmq4.Msg) error }) {
		t.Helper()
		sent++
		body := [][]byte{[]byte(fmt.Sprintf(`{"msg_id":"%d"}`, sent)), []byte(`{}`), []byte(`{}`), []byte(`{}`)}
		if err := client.SendMsg(zmq4.NewMsgFrom(append([][]byte{delimiter, s.sign(body...)}, body...)...)); err != nil {
			t.Fatal(err)
		}
	}
	next := func(want string, marked bool) *Message {
		t.Helper()
		m := <-got
		if m.Header.ID != want || m.Marked() != marked {
			t.Errorf("message %s: marked is %v, want %v of %s", m.Header.ID, m.Marked(), marked, want)
		}
		return m
	}
	var clients [2]*zmq4.Conn
	var wires [2]*written
	for i := range clients {
		raw, err := net.Dial("tcp", net.JoinHostPort(c.IP, fmt.Sprint(c.ShellPort)))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { raw.Close() })
		wires[i] = &written{Conn: raw}
		if clients[i], err = zmq4.Open(wires[i], null.Security(), zmq4.Dealer, nil, false, nil); err != nil {
			t.Fatal(err)
		}
	}
	send(clients[0])
	failed := next("1", false)
	send(clients[1])
	other := next("2", false) // its connection waits, too
	send(clients[0])
	send(clients[0])
	send(clients[1])
	for i, m := range []*Message{failed, other} {
		for begun := time.Now(); arrived(m.from.guard.Conn) < wires[i].n; time.Sleep(time.Millisecond) {
			if time.Since(begun) > time.Minute {
				t.Fatal("what was sent does not come")
			}
		}
	}
	reply, err := e.Author.New("x", failed, nil)
	if err != nil {
		t.Fatal(err)
	}
	reply.Identities = failed.Identities
	e.Shell.SendMarking(reply)
	if _, err := clients[0].RecvMsg(); err != nil {
		t.Fatal(err)
	}
	send(clients[0]) // on seeing it, while the ones before wait
	goOn <- struct{}{}
	goOn <- struct{}{}
	for range 2 {
		m := <-got
		if id := m.Header.ID; id != "3" && id != "5" || !m.Marked() {
			t.Errorf("message %s: marked is %v", id, m.Marked())
		}
	}
	goOn <- struct{}{}
	goOn <- struct{}{}
	next("4", true)
	goOn <- struct{}{}
	next("6", false)
}
