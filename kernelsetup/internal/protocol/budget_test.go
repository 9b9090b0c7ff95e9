package protocol

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"runtime"
	"strconv"
	"testing"
	"time"

	"github.com/go-zeromq/zmq4"
)

// knock opens a connection to a router by hand, up to the end of the
// handshake.
func knock(t *testing.T, port int) net.Conn {
	t.Helper()
	raw, err := net.Dial("tcp", "127.0.0.1:"+strconv.Itoa(port))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { raw.Close() })
	raw.SetDeadline(time.Now().Add(10 * time.Second))
	greeting := make([]byte, 64)
	copy(greeting, "\xff\x00\x00\x00\x00\x00\x00\x00\x00\x7f\x03\x00NULL")
	raw.Write(greeting)
	raw.Write([]byte("\x04\x1c\x05READY\x0bSocket-Type\x00\x00\x00\x06DEALER"))
	if _, err := io.ReadFull(raw, make([]byte, 64+2)); err != nil {
		t.Fatal(err)
	}
	return raw
}

// announced is the header of the last frame of a message.
func announced(size uint64) []byte { return binary.BigEndian.AppendUint64([]byte{2}, size) }

// closed reports whether the other side has closed the connection.
func closed(raw net.Conn, within time.Duration) bool {
	raw.SetReadDeadline(time.Now().Add(within))
	_, err := io.Copy(io.Discard, raw)
	return !errors.Is(err, os.ErrDeadlineExceeded)
}

// ask sends a signed message of a client and waits for the echo.
func ask(t *testing.T, client zmq4.Socket, s *signer, content string) {
	t.Helper()
	body := [][]byte{[]byte(`{"msg_type":"x","session":"client"}`), []byte(`{}`), []byte(`{}`), []byte(content)}
	frames := append([][]byte{delimiter, s.sign(body...)}, body...)
	if err := client.Send(zmq4.NewMsgFrom(frames...)); err != nil {
		t.Fatal(err)
	}
	m, err := decode(receive(t, client).Frames, s)
	if err != nil {
		t.Fatal(err)
	}
	if string(m.Content) != content {
		t.Fatalf("echo of %d bytes, want %d", len(m.Content), len(content))
	}
}

// inUse is what the process has from the system now.
func inUse() uint64 {
	var mem runtime.MemStats
	runtime.ReadMemStats(&mem)
	return mem.Sys
}

// Who doesn't have the key can announce as much as they like.
func TestAnnouncementsCostNothing(t *testing.T) {
	c := freeConnection(t)
	echoKernel(t, c)
	s := newSigner(c.Key)
	client := dial(t, zmq4.NewDealer(context.Background()), c.ShellPort)
	ask(t, client, s, `"before"`)
	before := inUse()
	var strangers []net.Conn
	for i := range 20 {
		raw := knock(t, []int{c.ShellPort, c.ControlPort, c.StdinPort}[i%3])
		raw.Write(announced(500 << 20))
		strangers = append(strangers, raw)
	}
	for range 100 {
		ask(t, client, s, `"beside"`)
	}
	if grown := int64(inUse() - before); grown > 16<<20 {
		t.Errorf("%d MB taken for 20 announcements of 500 MB", grown>>20)
	}
	// Now they send what they announced, as long as somebody takes it.
	piece := bytes.Repeat([]byte("x"), 1<<20)
	for _, raw := range strangers {
		go func() {
			for range 500 {
				if _, err := raw.Write(piece); err != nil {
					return
				}
			}
		}()
	}
	for i := range 200 {
		ask(t, client, s, fmt.Sprintf(`"beside %d"`, i))
	}
	// A client that comes now gets in, too.
	ask(t, dial(t, zmq4.NewDealer(context.Background()), c.ShellPort), s, `"new"`)
	for i, raw := range strangers {
		if !closed(raw, 5*time.Second) {
			t.Errorf("stranger %d may send for ever", i)
		}
	}
	if grown := int64(inUse() - before); grown > 8*strangerBytes {
		t.Errorf("%d MB taken for what 20 strangers sent", grown>>20)
	}
	// What they held is there again.
	for begun := time.Now(); ; { // soon: the last stranger's reader may not have ended yet
		large := knock(t, c.ShellPort)
		large.Write(announced(strangerBytes / 2))
		large.Write(bytes.Repeat([]byte("x"), strangerBytes/2))
		if !closed(large, 200*time.Millisecond) {
			break
		}
		if time.Since(begun) > 10*time.Second {
			t.Fatal("nothing of the strangers' memory came back")
		}
	}
}

// Who has shown the key may send much.
func TestLargeMessageWithTheKey(t *testing.T) {
	c := freeConnection(t)
	echoKernel(t, c)
	client := dial(t, zmq4.NewDealer(context.Background()), c.ShellPort)
	s := newSigner(c.Key)
	ask(t, client, s, `"small"`)
	ask(t, client, s, `"`+string(bytes.Repeat([]byte("x"), 3*strangerBytes))+`"`)
}

// Without a key in the connection file there is nobody to tell apart.
func TestLargeMessageWithoutAKey(t *testing.T) {
	c := freeConnection(t)
	c.Key = ""
	echoKernel(t, c)
	client := dial(t, zmq4.NewDealer(context.Background()), c.ShellPort)
	ask(t, client, newSigner(""), `"`+string(bytes.Repeat([]byte("x"), 2*strangerBytes))+`"`)
}

// What the kernel publishes is signed, and everybody hears it; sent back to it
// it opens nothing.
func TestEchoOfTheKernelIsNoKey(t *testing.T) {
	c := freeConnection(t)
	e := echoKernel(t, c)
	s := newSigner(c.Key)
	m, err := e.Author.New("stream", nil, json.RawMessage(`{}`))
	if err != nil {
		t.Fatal(err)
	}
	client := dial(t, zmq4.NewDealer(context.Background()), c.ShellPort)
	if err := client.Send(zmq4.NewMsgFrom(encode(m, s)...)); err != nil {
		t.Fatal(err)
	}
	for end := time.Now().Add(5 * time.Second); e.Shell.Refused() == 0; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("the kernel took its own message for a client's")
		}
	}
}

// A socket has room for so many connections; the others are not kept.
func TestConnectionsAreCounted(t *testing.T) {
	c := freeConnection(t)
	echoKernel(t, c)
	for range maxConnections {
		raw, err := net.Dial("tcp", "127.0.0.1:"+strconv.Itoa(c.StdinPort))
		if err != nil {
			t.Skip("not so many connections here:", err)
		}
		defer raw.Close()
	}
	one, err := net.Dial("tcp", "127.0.0.1:"+strconv.Itoa(c.StdinPort))
	if err != nil {
		t.Skip(err)
	}
	defer one.Close()
	if !closed(one, 5*time.Second) {
		t.Error("one more connection was kept")
	}
	ask(t, dial(t, zmq4.NewDealer(context.Background()), c.ShellPort), newSigner(c.Key), `"beside"`)
}
