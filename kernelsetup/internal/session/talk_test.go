package session

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"net"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/go-zeromq/zmq4"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/repl"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/worker"
)

// talk is a front end that speaks to a kernel in this process.
type talk struct {
	t       *testing.T
	at      protocol.Connection
	shell   zmq4.Socket
	control zmq4.Socket
	n       int
	silent  map[string]bool
	// ahead is how far the front end's clock is ahead, dates how it writes
	// them: browsers cut them to milliseconds.
	ahead time.Duration
	dates string

	mu       sync.Mutex
	messages []heard
	more     chan struct{}
}

type heard struct {
	channel, kind, parent string
	content               map[string]any
	raw                   json.RawMessage
}

const testKey = "key"

// startTalk starts a kernel and a front end, which end with the test.
func startTalk(t *testing.T, opt Options) *talk {
	t.Helper()
	return startTalkAt(t, opt, 0, false)
}

// startInterpreted is startTalk with a kernel that runs Go.
func startInterpreted(t *testing.T) *talk {
	t.Helper()
	ev, err := repl.New("")
	if err != nil {
		t.Fatal(err)
	}
	return startTalk(t, Options{Worker: worker.Here(ev)})
}

// startTalkAt is startTalk with a front end whose clock is ahead, or tells
// milliseconds only.
func startTalkAt(t *testing.T, opt Options, ahead time.Duration, millis bool) *talk {
	t.Helper()
	c := protocol.Connection{Transport: "tcp", IP: "127.0.0.1", Key: testKey, SignatureScheme: "hmac-sha256"}
	ports := []*int{&c.ShellPort, &c.IOPubPort, &c.StdinPort, &c.ControlPort, &c.HeartbeatPort}
	var listeners []net.Listener
	for _, p := range ports {
		ln, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		*p = ln.Addr().(*net.TCPAddr).Port
		listeners = append(listeners, ln)
	}
	for _, ln := range listeners {
		ln.Close()
	}
	ctx, stop := context.WithCancel(context.Background())
	served := make(chan error, 1)
	go func() { served <- Serve(ctx, c, opt) }()
	k := &talk{t: t, at: c, ahead: ahead, dates: "2006-01-02T15:04:05.000000Z07:00", more: make(chan struct{}, 1), silent: map[string]bool{}}
	if millis {
		k.dates = "2006-01-02T15:04:05.000Z07:00"
	}
	k.shell, k.control = zmq4.NewDealer(ctx), zmq4.NewDealer(ctx)
	iopub := zmq4.NewSub(ctx)
	for s, port := range map[zmq4.Socket]int{k.shell: c.ShellPort, k.control: c.ControlPort, iopub: c.IOPubPort} {
		if err := s.Dial("tcp://127.0.0.1:" + strconv.Itoa(port)); err != nil {
			t.Fatal(err)
		}
	}
	iopub.SetOption(zmq4.OptionSubscribe, "")
	go k.listen("shell", k.shell)
	go k.listen("control", k.control)
	go k.listen("iopub", iopub)
	t.Cleanup(func() {
		stop()
		k.shell.Close()
		k.control.Close()
		iopub.Close()
		select {
		case <-served:
		case <-time.After(10 * time.Second):
			t.Error("the kernel did not end")
		}
	})
	// What is published before the subscription has arrived is not heard: ask
	// until an answer is.
	for begun := time.Now(); time.Since(begun) < time.Minute; {
		if _, ok := k.until(k.send("kernel_info_request", nil), time.Second, isIdle); ok {
			return k
		}
	}
	t.Fatal("nothing was heard of the kernel within a minute")
	return nil
}

func isIdle(h heard) bool { return h.kind == "status" && h.content["execution_state"] == "idle" }

func (k *talk) listen(channel string, s zmq4.Socket) {
	for {
		m, err := s.Recv()
		if err != nil {
			return
		}
		f := m.Frames
		for len(f) > 0 && string(f[0]) != "<IDS|MSG>" {
			f = f[1:]
		}
		if len(f) < 6 {
			continue
		}
		var header, parent protocol.Header
		json.Unmarshal(f[2], &header)
		json.Unmarshal(f[3], &parent)
		h := heard{channel: channel, kind: header.Type, parent: parent.ID, raw: f[5]}
		json.Unmarshal(f[5], &h.content)
		k.mu.Lock()
		k.messages = append(k.messages, h)
		k.mu.Unlock()
		select {
		case k.more <- struct{}{}:
		default:
		}
	}
}

// sender is a socket as far as what is sent goes.
type sender interface{ Send(zmq4.Msg) error }

// send sends a request and returns its id.
func (k *talk) send(kind string, content any) string { return k.sendOn(k.shell, kind, content) }

func (k *talk) sendOn(s sender, kind string, content any) string {
	k.n++
	id := fmt.Sprintf("request-%d", k.n)
	k.silent[id] = replyKinds[kind] == "" // no reply, idle only
	if content == nil {
		content = map[string]any{}
	}
	header, _ := json.Marshal(protocol.Header{ID: id, Session: "front end", Username: "u", Type: kind, Version: "5.5",
		Date: time.Now().Add(k.ahead).UTC().Format(k.dates)})
	body, err := json.Marshal(content)
	if err != nil {
		k.t.Fatal(err)
	}
	parts := [][]byte{header, []byte("{}"), []byte("{}"), body}
	mac := hmac.New(sha256.New, []byte(testKey))
	for _, p := range parts {
		mac.Write(p)
	}
	frames := append([][]byte{[]byte("<IDS|MSG>"), []byte(hex.EncodeToString(mac.Sum(nil)))}, parts...)
	if err := s.Send(zmq4.NewMsgFrom(frames...)); err != nil {
		k.t.Fatal(err)
	}
	return id
}

// all returns what has come for a request so far.
func (k *talk) all(id string) (list []heard) {
	k.mu.Lock()
	defer k.mu.Unlock()
	for _, h := range k.messages {
		if h.parent == id {
			list = append(list, h)
		}
	}
	return list
}

// until waits for a message that is wanted, and returns it.
func (k *talk) until(id string, limit time.Duration, want func(heard) bool) (heard, bool) {
	deadline := time.After(limit)
	for {
		for _, h := range k.all(id) {
			if want(h) {
				return h, true
			}
		}
		select {
		case <-k.more:
		case <-time.After(5 * time.Millisecond):
		case <-deadline:
			return heard{}, false
		}
	}
}

// answer waits for a request's reply and its idle, and returns the reply.
func (k *talk) answer(id string, limit time.Duration) map[string]any {
	k.t.Helper()
	start := time.Now()
	if k.silent[id] {
		if !k.idle(id, limit) {
			return nil
		}
		return map[string]any{}
	}
	reply, ok := k.until(id, limit, func(h heard) bool { return h.channel != "iopub" })
	if !ok {
		k.t.Errorf("no reply to %s within %v", id, limit)
		return nil
	}
	k.idle(id, limit-time.Since(start)+100*time.Millisecond)
	return reply.content
}

func (k *talk) idle(id string, limit time.Duration) bool {
	k.t.Helper()
	_, ok := k.until(id, limit, isIdle)
	if !ok {
		k.t.Errorf("no idle for %s within %v", id, limit)
	}
	return ok
}

// published returns the messages of a kind that belong to a request.
func (k *talk) published(id, kind string) (list []heard) {
	for _, h := range k.all(id) {
		if h.channel == "iopub" && h.kind == kind {
			list = append(list, h)
		}
	}
	return list
}

// run sends a cell and waits for its reply.
func (k *talk) run(code string, limit time.Duration) (id string, reply map[string]any) {
	k.t.Helper()
	id = k.send("execute_request", map[string]any{"code": code})
	return id, k.answer(id, limit)
}
