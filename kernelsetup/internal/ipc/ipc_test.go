package ipc

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
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

// What was begun is known without a message where there is a note, and by one
// where there is none.
func TestBegun(t *testing.T) {
	a, b := pair(t)
	if a.LastBegun() != 0 {
		t.Error("something is begun")
	}
	b.Begin(7)
	if m, err := a.Read(); err != nil || m.Kind != Begun || m.ID != 7 {
		t.Errorf("%v %v", m, err)
	}
	f, err := os.Create(filepath.Join(t.TempDir(), "note"))
	if err != nil {
		t.Fatal(err)
	}
	a.Note(f)
	b.Note(f)
	if a.LastBegun() != 0 {
		t.Error("an empty note tells something")
	}
	for _, id := range []uint64{8, 300} {
		if b.Begin(id); a.LastBegun() != id {
			t.Errorf("%d is begun, want %d", a.LastBegun(), id)
		}
	}
	b.Write(New(Ready, 0))
	if m, err := a.Read(); err != nil || m.Kind != Ready {
		t.Errorf("a message beside the note: %v %v", m, err)
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
