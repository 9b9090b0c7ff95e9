package protocol

import (
	"bytes"
	"encoding/json"
	"errors"
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
)

// requestHeader is a header as a client writes it, with a field this kernel
// does not know.
const requestHeader = `{"msg_id":"1","session":"s","username":"u","date":"2026-01-02T03:04:05Z","msg_type":"kernel_info_request","version":"5.3","extra":1}`

func exampleFrames(s *signer, identities ...string) [][]byte {
	var frames [][]byte
	for _, id := range identities {
		frames = append(frames, []byte(id))
	}
	body := [][]byte{[]byte(requestHeader), []byte(`{}`), []byte(`{"a":1}`), []byte(`{"code":"x"}`)}
	frames = append(frames, []byte("<IDS|MSG>"), s.sign(body...))
	return append(frames, body...)
}

func TestDecode(t *testing.T) {
	s := newSigner("key")
	frames := append(exampleFrames(s, "a", "b"), []byte("buffer 1"), []byte{0, 1})
	m, err := decode(frames, s)
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Identities) != 2 || string(m.Identities[1]) != "b" {
		t.Errorf("identities %q", m.Identities)
	}
	if m.Header.Type != "kernel_info_request" || m.Header.ID != "1" {
		t.Errorf("header %+v", m.Header)
	}
	if string(m.Content) != `{"code":"x"}` || string(m.Metadata) != `{"a":1}` {
		t.Errorf("content %s, metadata %s", m.Content, m.Metadata)
	}
	if len(m.Buffers) != 2 || !bytes.Equal(m.Buffers[1], []byte{0, 1}) {
		t.Errorf("buffers %q", m.Buffers)
	}
	// A reply's parent header is the request's header, unknown fields and all.
	reply, err := NewAuthor().New("kernel_info_reply", m, map[string]string{"x": "<&>"})
	if err != nil {
		t.Fatal(err)
	}
	if string(reply.Parent) != requestHeader {
		t.Errorf("parent header %s, want the request's own", reply.Parent)
	}
	if string(reply.Content) != `{"x":"<&>"}` {
		t.Errorf("content %s, want <, & and > as they are", reply.Content)
	}
}

func TestEncodeThenDecode(t *testing.T) {
	s := newSigner("key")
	m, err := NewAuthor().New("status", nil, map[string]string{"execution_state": "busy"})
	if err != nil {
		t.Fatal(err)
	}
	m.Identities = [][]byte{[]byte("topic")}
	frames := encode(m, s)
	if string(frames[0]) != "topic" || string(frames[1]) != "<IDS|MSG>" || len(frames) != 7 {
		t.Fatalf("frames %q", frames)
	}
	for i := 3; i < 7; i++ {
		if !json.Valid(frames[i]) {
			t.Errorf("frame %d is not JSON: %q", i, frames[i])
		}
	}
	back, err := decode(frames, s)
	if err != nil {
		t.Fatal(err)
	}
	if back.Header != m.Header {
		t.Errorf("header %+v came back as %+v", m.Header, back.Header)
	}
}

func TestMalformedMessages(t *testing.T) {
	s := newSigner("key")
	good := func() [][]byte { return exampleFrames(s, "id") }
	for _, v := range []struct {
		name   string
		frames [][]byte
		want   error
	}{
		{"nothing", nil, ErrNoDelimiter},
		{"no delimiter", [][]byte{[]byte("a"), []byte("b")}, ErrNoDelimiter},
		{"delimiter only", [][]byte{[]byte("<IDS|MSG>")}, ErrShortMessage},
		{"cut", good()[:5], ErrShortMessage},
		{"no signature", with(good(), 2, ""), ErrBadSignature},
		{"content changed", with(good(), 6, `{"code":"y"}`), ErrBadSignature},
		{"other key", exampleFrames(newSigner("other"), "id"), ErrBadSignature},
	} {
		if _, err := decode(v.frames, s); !errors.Is(err, v.want) {
			t.Errorf("%s: error %v, want %v", v.name, err, v.want)
		}
	}
	unsigned := newSigner("")
	for _, bad := range []string{"", "{", "null{", "\xff"} {
		if _, err := decode(with(good(), 6, bad), unsigned); err == nil {
			t.Errorf("content %q accepted", bad)
		}
	}
	if _, err := decode(with(good(), 3, `[]`), unsigned); err == nil {
		t.Error("header that is a list accepted")
	}
}

func with(frames [][]byte, i int, s string) [][]byte {
	frames[i] = []byte(s)
	return frames
}

func FuzzDecode(f *testing.F) { fuzzDecode(f) }

func fuzzDecode(f mutant.F) {
	f.Add([]byte("<IDS|MSG>\x00\x00{}\x00{}\x00{}\x00{}"))
	f.Add([]byte("id\x00<IDS|MSG>\x00sig\x00{\"msg_type\":\"x\"}\x00{}\x00{}\x00{}\x00buffer"))
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, s := range []*signer{newSigner(""), newSigner("key")} {
			m, err := decode(bytes.Split(data, []byte{0}), s)
			if err != nil {
				continue
			}
			again, err := decode(encode(m, s), s)
			if err != nil || again.Header != m.Header || !bytes.Equal(again.Content, m.Content) {
				t.Fatalf("accepted message does not survive a round trip: %v", err)
			}
		}
	})
}
