package session

import (
	"bytes"
	"fmt"
	"io"
	"net"
	"strconv"
	"strings"
	"testing"
	"time"
)

// Twenty connections without the key that announce 500 MB, and then send,
// don't disturb a cell: not one that takes memory either.
func TestStrangersDontDisturbCells(t *testing.T) {
	t.Setenv("BONNETBOOK_MEMORY", "1G")
	k := startInterpreted(t)
	greeting := make([]byte, 64)
	copy(greeting, "\xff\x00\x00\x00\x00\x00\x00\x00\x00\x7f\x03\x00NULL")
	opening := string(greeting) + "\x04\x1c\x05READY\x0bSocket-Type\x00\x00\x00\x06DEALER" +
		"\x02\x00\x00\x00\x00\x1f\x40\x00\x00" // a frame of 500 MiB
	ports := []int{k.at.ShellPort, k.at.ControlPort, k.at.StdinPort}
	var strangers []net.Conn
	for i := range 20 {
		raw, err := net.Dial("tcp", "127.0.0.1:"+strconv.Itoa(ports[i%len(ports)]))
		if err != nil {
			t.Fatal(err)
		}
		defer raw.Close()
		io.WriteString(raw, opening)
		go io.Copy(io.Discard, raw)
		strangers = append(strangers, raw)
	}
	if _, reply := k.run(`import "bytes"`, 20*time.Second); reply["status"] != "ok" {
		t.Fatal(reply)
	}
	cells := func(when string) {
		for i := range 20 {
			id, reply := k.run(fmt.Sprintf("text := bytes.Repeat([]byte{1}, 100<<20)\nlen(text) + %d", i), 20*time.Second)
			if reply["status"] != "ok" {
				t.Fatalf("%s: cell %d: %v", when, i, reply)
			}
			if out := fmt.Sprint(k.published(id, "execute_result")); !strings.Contains(out, strconv.Itoa(100<<20+i)) {
				t.Fatalf("%s: cell %d showed %s", when, i, out)
			}
		}
	}
	cells("announced")
	for _, raw := range strangers {
		go func() {
			piece := bytes.Repeat([]byte("x"), 1<<20)
			for range 500 {
				if _, err := raw.Write(piece); err != nil {
					return
				}
			}
		}()
	}
	cells("sent")
}
