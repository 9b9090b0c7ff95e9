package main

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"time"

	"github.com/go-zeromq/zmq4"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
)

const key = "key"

// front is a kernel in a process of its own and a front end for it.
type front struct {
	cmd          *exec.Cmd
	shell, iopub zmq4.Socket
	n            int
	heard        chan string // parent's number, of a reply or an idle message
	stop         func()
}

// start starts a kernel; how is "supervised" or "alone".
func start(how, dir string) (*front, error) {
	c := protocol.Connection{Transport: "tcp", IP: "127.0.0.1", Key: key, SignatureScheme: "hmac-sha256"}
	var held []net.Listener
	for _, p := range []*int{&c.ShellPort, &c.IOPubPort, &c.StdinPort, &c.ControlPort, &c.HeartbeatPort} {
		ln, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			return nil, err
		}
		*p = ln.Addr().(*net.TCPAddr).Port
		held = append(held, ln)
	}
	for _, ln := range held {
		ln.Close()
	}
	raw, err := json.Marshal(c)
	if err != nil {
		return nil, err
	}
	path := filepath.Join(dir, fmt.Sprint(how, c.ShellPort, ".json"))
	if err := atomicfile.Write(path, raw, 0o600); err != nil {
		return nil, err
	}
	ctx, stop := context.WithCancel(context.Background())
	f := &front{cmd: exec.Command(os.Args[0], "kernel", how, path), heard: make(chan string, 16), stop: stop}
	f.cmd.Stderr = os.Stderr
	if err := f.cmd.Start(); err != nil {
		return nil, err
	}
	f.shell, f.iopub = zmq4.NewDealer(ctx), zmq4.NewSub(ctx)
	for s, port := range map[zmq4.Socket]int{f.shell: c.ShellPort, f.iopub: c.IOPubPort} {
		for until := time.Now().Add(10 * time.Second); ; time.Sleep(10 * time.Millisecond) {
			if err = s.Dial("tcp://127.0.0.1:" + strconv.Itoa(port)); err == nil || time.Now().After(until) {
				break
			}
		}
		if err != nil {
			return nil, err
		}
	}
	f.iopub.SetOption(zmq4.OptionSubscribe, "")
	go f.listen(f.shell)
	go f.listen(f.iopub)
	return f, nil
}

func (f *front) listen(s zmq4.Socket) {
	for {
		m, err := s.Recv()
		if err != nil {
			return
		}
		fr := m.Frames
		for len(fr) > 0 && string(fr[0]) != "<IDS|MSG>" {
			fr = fr[1:]
		}
		if len(fr) < 6 {
			continue
		}
		var header, parent protocol.Header
		json.Unmarshal(fr[2], &header)
		json.Unmarshal(fr[3], &parent)
		var content struct {
			Status string `json:"status"`
			State  string `json:"execution_state"`
		}
		json.Unmarshal(fr[5], &content)
		switch {
		case header.Type == "execute_reply" && content.Status == "ok":
			f.heard <- "reply " + parent.ID
		case header.Type == "status" && content.State == "idle":
			f.heard <- "idle " + parent.ID
		}
	}
}

// trip has a cell run and returns how long it took.
func (f *front) trip(code string) (time.Duration, error) {
	f.n++
	id := strconv.Itoa(f.n)
	header, _ := json.Marshal(protocol.Header{ID: id, Session: "s", Username: "u", Version: "5.3", Type: "execute_request",
		Date: time.Now().UTC().Format("2006-01-02T15:04:05.000000Z")})
	content, _ := json.Marshal(map[string]any{"code": code, "silent": false, "store_history": true, "allow_stdin": true})
	mac := hmac.New(sha256.New, []byte(key))
	for _, p := range [][]byte{header, []byte("{}"), []byte("{}"), content} {
		mac.Write(p)
	}
	m := zmq4.NewMsgFrom([]byte("<IDS|MSG>"), []byte(hex.EncodeToString(mac.Sum(nil))), header, []byte("{}"), []byte("{}"), content)
	begun := time.Now()
	if err := f.shell.Send(m); err != nil {
		return 0, err
	}
	limit := time.After(time.Minute)
	for want := map[string]bool{"reply " + id: true, "idle " + id: true}; len(want) > 0; {
		select {
		case h := <-f.heard:
			delete(want, h)
		case <-limit:
			return 0, fmt.Errorf("no answer to %q", code)
		}
	}
	return time.Since(begun), nil
}

func (f *front) close() {
	f.cmd.Process.Signal(os.Interrupt)
	f.stop()
	f.cmd.Process.Kill()
	f.cmd.Wait()
}
