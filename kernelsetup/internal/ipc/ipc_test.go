package ipc

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"reflect"
	"sync"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

func pair(t *testing.T) (a, b *Conn) {
	t.Helper()
	r1, w1, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	r2, w2, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	a, b = NewConn(r1, w2), NewConn(r2, w1)
	t.Cleanup(func() { a.Close(); b.Close() })
	return a, b
}

func TestMessagesArriveWhole(t *testing.T) {
	a, b := pair(t)
	big := bytes.Repeat([]byte("x"), 3<<20)
	const writers, each = 8, 50
	var wg sync.WaitGroup
	for i := range writers {
		wg.Go(func() {
			for j := range each {
				if err := a.Write(New(Run, uint64(i*each+j), "text", i, big[:1+i*1000*j%len(big)])); err != nil {
					t.Error(err)
				}
			}
		})
	}
	seen := map[uint64]bool{}
	for range writers * each {
		m, err := b.Read()
		if err != nil {
			t.Fatal(err)
		}
		i, j := int(m.ID)/each, int(m.ID)%each
		var n int
		if m.Decode(1, &n) != nil || m.Kind != Run || m.Part(0) != "text" || n != i || len(m.Bytes(2)) != 1+i*1000*j%len(big) || m.Part(3) != "" {
			t.Fatalf("message %d: %v %q %d", m.ID, m.Kind, m.Part(0), n)
		}
		seen[m.ID] = true
	}
	wg.Wait()
	if len(seen) != writers*each {
		t.Errorf("%d messages", len(seen))
	}
}

func TestOutcomesComeBackTheSame(t *testing.T) {
	for _, o := range []execution.Outcome{
		{},
		{Result: notebook.Bundle{"text/plain": "x", "image/png": []byte{0, 1, 2}, "application/json": json.RawMessage(`{"a":1}`)}},
		{Failure: &execution.Failure{Name: "panic", Value: "v", Traceback: []string{"a", "b"}}, Notices: []string{"n"}},
	} {
		if got := (Message{}.WithOutcome(o)).Outcome(); !reflect.DeepEqual(got, o) {
			t.Errorf("%+v became %+v", o, got)
		}
	}
}

// What is no message is refused without taking memory for it.
func TestNonsenseIsRefused(t *testing.T) {
	for _, text := range []string{"", "x", "\x01aaaaaaaa\xff\xff\xff\xff", "\x01aaaaaaaa\x01\x00\x00\x00\xff\xff\xff\xff", "\x01aaaaaaaa\x02\x00\x00\x00\x01\x00\x00\x00"} {
		c := NewConn(io.NopCloser(bytes.NewReader([]byte(text))), nil)
		if m, err := c.Read(); err == nil {
			t.Errorf("%q was taken for %v", text, m)
		}
	}
}
