package protocol

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/go-zeromq/zmq4"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
)

// freeConnection returns a connection on ports that were free just now.
func freeConnection(t *testing.T) Connection {
	t.Helper()
	c := Connection{Transport: "tcp", IP: "127.0.0.1", Key: "key", SignatureScheme: "hmac-sha256"}
	for _, p := range []*int{&c.ShellPort, &c.IOPubPort, &c.StdinPort, &c.ControlPort, &c.HeartbeatPort} {
		ln, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		defer ln.Close()
		*p = ln.Addr().(*net.TCPAddr).Port
	}
	return c
}

// echoKernel answers every shell message with its own content.
func echoKernel(t *testing.T, c Connection) *Endpoint {
	t.Helper()
	ready := make(chan *Endpoint, 1)
	endpoint := sync.OnceValue(func() *Endpoint { return <-ready })
	answer := func(m *Message) {
		e := endpoint()
		reply, err := e.Author.New("echo", m, json.RawMessage(m.Content))
		if err != nil {
			t.Error(err)
			return
		}
		reply.Identities = m.Identities
		e.Shell.Send(reply)
	}
	ignore := func(*Message) {}
	bound, err := Bind(c, Handlers{Shell: answer, Control: ignore, Stdin: ignore})
	if err != nil {
		t.Fatal(err)
	}
	ready <- bound
	t.Cleanup(bound.Close)
	return bound
}

// dial connects a socket of the library itself, as a client would.
func dial(t *testing.T, s zmq4.Socket, port int) zmq4.Socket {
	t.Helper()
	if err := s.Dial("tcp://127.0.0.1:" + strconv.Itoa(port)); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func receive(t *testing.T, s zmq4.Socket) zmq4.Msg {
	t.Helper()
	type result struct {
		m   zmq4.Msg
		err error
	}
	got := make(chan result, 1)
	go func() {
		m, err := s.Recv()
		got <- result{m, err}
	}()
	select {
	case r := <-got:
		if r.err != nil {
			t.Fatal(r.err)
		}
		return r.m
	case <-time.After(time.Minute): // it hangs; a loaded machine may take seconds
		t.Fatal("no message within a minute")
		panic("unreachable")
	}
}

func TestShellRoutesReplies(t *testing.T) {
	c := freeConnection(t)
	echoKernel(t, c)
	ctx := context.Background()
	s := newSigner(c.Key)
	// Two clients that claim the same identity must not get each other's
	// replies.
	var clients []zmq4.Socket
	for range 2 {
		clients = append(clients, dial(t, zmq4.NewDealer(ctx, zmq4.WithID(zmq4.SocketIdentity("same"))), c.ShellPort))
	}
	for i, client := range clients {
		body := [][]byte{[]byte(`{"msg_type":"x"}`), []byte(`{}`), []byte(`{}`), []byte(fmt.Sprintf(`{"n":%d}`, i))}
		frames := append([][]byte{[]byte("<IDS|MSG>"), s.sign(body...)}, body...)
		if err := client.Send(zmq4.NewMsgFrom(frames...)); err != nil {
			t.Fatal(err)
		}
	}
	for i, client := range clients {
		m, err := decode(receive(t, client).Frames, s)
		if err != nil {
			t.Fatal(err)
		}
		if want := fmt.Sprintf(`{"n":%d}`, i); string(m.Content) != want {
			t.Errorf("client %d got %s, want %s", i, m.Content, want)
		}
	}
}

func TestHeartbeatEchoes(t *testing.T) {
	c := freeConnection(t)
	echoKernel(t, c)
	req := dial(t, zmq4.NewReq(context.Background()), c.HeartbeatPort)
	for _, text := range []string{"ping", "", strings.Repeat("x", 1000)} {
		if err := req.Send(zmq4.NewMsgString(text)); err != nil {
			t.Fatal(err)
		}
		if got := string(receive(t, req).Bytes()); got != text {
			t.Errorf("heartbeat returned %d bytes, want %d", len(got), len(text))
		}
	}
}

func TestIOPubWelcomesAndKeepsOrder(t *testing.T) {
	c := freeConnection(t)
	e := echoKernel(t, c)
	sub := dial(t, zmq4.NewSub(context.Background()), c.IOPubPort)
	if err := sub.SetOption(zmq4.OptionSubscribe, ""); err != nil {
		t.Fatal(err)
	}
	s := newSigner(c.Key)
	m, err := decode(receive(t, sub).Frames, s)
	if err != nil {
		t.Fatal(err)
	}
	if m.Header.Type != "iopub_welcome" || string(m.Content) != `{"subscription":""}` || string(m.Parent) != "{}" {
		t.Fatalf("first message is %s %s with parent %s, want iopub_welcome", m.Header.Type, m.Content, m.Parent)
	}
	const n = 5000
	go func() {
		for i := range n {
			m, _ := e.Author.New("stream", nil, i)
			m.Identities = [][]byte{[]byte("stream")}
			e.IOPub.Publish(m)
		}
	}()
	for i := range n {
		m, err := decode(receive(t, sub).Frames, s)
		if err != nil {
			t.Fatal(err)
		}
		if string(m.Content) != strconv.Itoa(i) {
			t.Fatalf("message %d says %s", i, m.Content)
		}
	}
}

func TestTopicsSelect(t *testing.T) {
	c := freeConnection(t)
	e := echoKernel(t, c)
	sub := dial(t, zmq4.NewSub(context.Background()), c.IOPubPort)
	if err := sub.SetOption(zmq4.OptionSubscribe, "want"); err != nil {
		t.Fatal(err)
	}
	receive(t, sub) // welcome
	for _, topic := range []string{"other", "want.this"} {
		m, _ := e.Author.New("x", nil, topic)
		m.Identities = [][]byte{[]byte(topic)}
		e.IOPub.Publish(m)
	}
	if got := string(receive(t, sub).Frames[0]); got != "want.this" {
		t.Errorf("topic %q came first", got)
	}
}

// hostile are openings that no client sends.
func hostile() map[string][]byte {
	greeting := make([]byte, 64)
	copy(greeting, "\xff\x00\x00\x00\x00\x00\x00\x00\x00\x7f\x03\x00NULL")
	ready := []byte("\x04\x19\x05READY\x0bSocket-Type\x00\x00\x00\x03REQ")
	long := func(size uint64) []byte { return binary.BigEndian.AppendUint64([]byte{2}, size) }
	join := func(parts ...[]byte) (all []byte) {
		for _, p := range parts {
			all = append(all, p...)
		}
		return all
	}
	var many []byte
	for range 5000 {
		many = append(many, 1, 0)
	}
	return map[string][]byte{
		"nothing":             nil,
		"text":                []byte("GET / HTTP/1.1\r\nHost: x\r\n\r\n"),
		"greeting only":       greeting,
		"property cut":        join(greeting, []byte("\x04\x08\x05READY\xff")),
		"wild ready":          join(greeting, long(1<<62)),
		"frame of 2^63 bytes": join(greeting, ready, long(1<<63)),
		"frame of 2^62 bytes": join(greeting, ready, long(1<<62)),
		"frame of 2^40 bytes": join(greeting, ready, long(1<<40)),
		"endless frames":      join(greeting, ready, many),
		"empty command":       join(greeting, ready, []byte{4, 0}),
		"ping":                join(greeting, ready, []byte("\x04\x07\x04PING\x00\x00")),
		"empty message":       join(greeting, ready, []byte{0, 0}),
	}
}

// A hostile peer costs its own connection and nothing else.
func TestHostilePeers(t *testing.T) {
	c := freeConnection(t)
	echoKernel(t, c)
	var mem runtime.MemStats
	runtime.ReadMemStats(&mem)
	before := mem.Sys // of earlier tests
	for name, opening := range hostile() {
		for _, port := range []int{c.ShellPort, c.IOPubPort, c.HeartbeatPort} {
			raw, err := net.Dial("tcp", "127.0.0.1:"+strconv.Itoa(port))
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			raw.Write(opening)
			raw.SetReadDeadline(time.Now().Add(20 * time.Millisecond))
			io.Copy(io.Discard, raw)
			raw.Close()
		}
	}
	runtime.ReadMemStats(&mem)
	if grown := mem.Sys - before; grown > 1<<29 {
		t.Errorf("%d MB taken for announced frames that never came", grown>>20)
	}
	req := dial(t, zmq4.NewReq(context.Background()), c.HeartbeatPort)
	if err := req.Send(zmq4.NewMsgString("alive")); err != nil {
		t.Fatal(err)
	}
	if got := string(receive(t, req).Bytes()); got != "alive" {
		t.Errorf("heartbeat said %q", got)
	}
}

// FuzzPeer lets a connection begin with a good greeting, or not, and go on
// with anything.
func FuzzPeer(f *testing.F) { fuzzPeer(f) }

func fuzzPeer(f mutant.F) {
	for _, opening := range hostile() {
		f.Add(opening)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		near, far := net.Pipe()
		go io.Copy(io.Discard, near)
		go func() {
			near.SetWriteDeadline(time.Now().Add(time.Second))
			near.Write(data)
			near.Close()
		}()
		p, err := greet(far, zmq4.Router, 1, newBudget(1<<20))
		if err != nil {
			return
		}
		defer p.close()
		for {
			if _, err := p.receive(); err != nil {
				return
			}
		}
	})
}

func TestConnectionFileMistakes(t *testing.T) {
	good := Connection{Transport: "tcp", IP: "127.0.0.1", ShellPort: 1, IOPubPort: 2, StdinPort: 3, ControlPort: 4,
		HeartbeatPort: 5, Key: "k", SignatureScheme: "hmac-sha256"}
	if err := good.check(); err != nil {
		t.Fatal(err)
	}
	for _, v := range []struct {
		change func(*Connection)
		want   string
	}{
		{func(c *Connection) { c.Transport = "udp" }, "transport"},
		{func(c *Connection) { c.IP = "" }, "ip is empty"},
		{func(c *Connection) { c.StdinPort = 0 }, "stdin_port"},
		{func(c *Connection) { c.ShellPort = 70000 }, "shell_port"},
		{func(c *Connection) { c.SignatureScheme = "hmac-md5" }, "signature_scheme"},
	} {
		c := good
		v.change(&c)
		if err := c.check(); err == nil || !strings.Contains(err.Error(), v.want) {
			t.Errorf("error %v, want one that names %q", err, v.want)
		}
	}
}

func TestPortInUse(t *testing.T) {
	c := freeConnection(t)
	ln, err := net.Listen("tcp", "127.0.0.1:"+strconv.Itoa(c.ControlPort))
	if err != nil {
		t.Fatal(err)
	}
	defer ln.Close()
	_, err = Bind(c, Handlers{})
	if err == nil || !strings.Contains(err.Error(), "control") || !strings.Contains(err.Error(), strconv.Itoa(c.ControlPort)) {
		t.Errorf("error %v, want one that names the control socket and its port", err)
	}
	// Nothing stays bound behind a failed start.
	if ln, err := net.Listen("tcp", "127.0.0.1:"+strconv.Itoa(c.HeartbeatPort)); err != nil {
		t.Errorf("heartbeat port still taken: %v", err)
	} else {
		ln.Close()
	}
}

// A port that is given back while the kernel starts does not stop it.
func TestPortInUseForAMoment(t *testing.T) {
	c := freeConnection(t)
	ln, err := net.Listen("tcp", "127.0.0.1:"+strconv.Itoa(c.HeartbeatPort))
	if err != nil {
		t.Fatal(err)
	}
	time.AfterFunc(100*time.Millisecond, func() { ln.Close() })
	e, err := Bind(c, Handlers{})
	if err != nil {
		t.Fatal(err)
	}
	e.Close()
}

func TestIPC(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Jupyter offers ipc only where there are Unix sockets")
	}
	c := Connection{Transport: "ipc", IP: filepath.Join(t.TempDir(), "kernel"),
		ShellPort: 1, IOPubPort: 2, StdinPort: 3, ControlPort: 4, HeartbeatPort: 5}
	echoKernel(t, c)
	req := zmq4.NewReq(context.Background())
	defer req.Close()
	if err := req.Dial("ipc://" + c.IP + "-5"); err != nil {
		t.Fatal(err)
	}
	if err := req.Send(zmq4.NewMsgString("ping")); err != nil {
		t.Fatal(err)
	}
	if got := string(receive(t, req).Bytes()); got != "ping" {
		t.Errorf("heartbeat said %q", got)
	}
}
