package protocol

import (
	"bytes"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/user"
	"strconv"
	"sync/atomic"
	"time"
)

// ProtocolVersion is the version of the messaging protocol in every header.
const ProtocolVersion = "5.5"

// Header identifies a message.
type Header struct {
	ID       string `json:"msg_id"`
	Session  string `json:"session"`
	Username string `json:"username"`
	Date     string `json:"date"`
	Type     string `json:"msg_type"`
	Version  string `json:"version"`
}

// Message is one Jupyter message.
type Message struct {
	// Identities are the routing frames before the delimiter: the sender of
	// a request, or the topic of a published message.
	Identities [][]byte
	Header     Header
	// Parent is the header of the request this message answers, as JSON; an
	// empty object where there is none.
	Parent   json.RawMessage
	Metadata json.RawMessage
	Content  json.RawMessage
	Buffers  [][]byte

	rawHeader json.RawMessage

	from  *peer  // that it came from, and
	start uint64 // how many bytes of that connection came before it
}

// RawHeader returns the header as it came over the wire, so that a reply's
// parent header carries fields unknown to this kernel too.
func (m *Message) RawHeader() json.RawMessage {
	if m.rawHeader != nil {
		return m.rawHeader
	}
	raw, _ := json.Marshal(m.Header)
	return raw
}

// HeaderOnly returns a copy of m with its header alone: enough to answer it.
func (m *Message) HeaderOnly() *Message { return &Message{Header: m.Header, rawHeader: m.RawHeader()} }

var (
	delimiter   = []byte("<IDS|MSG>")
	emptyObject = json.RawMessage("{}")
)

// Reasons for refusing what came over a socket. Each refused message is
// counted by the socket and otherwise ignored.
var (
	ErrNoDelimiter  = errors.New("message without the delimiter <IDS|MSG>")
	ErrShortMessage = errors.New("message with fewer than five frames after the delimiter")
	ErrBadSignature = errors.New("message with a wrong signature")
)

// decode splits frames into a message after checking its signature.
func decode(frames [][]byte, s *signer) (*Message, error) {
	at := -1
	for i, f := range frames {
		if bytes.Equal(f, delimiter) {
			at = i
			break
		}
	}
	if at < 0 {
		return nil, ErrNoDelimiter
	}
	rest := frames[at+1:]
	if len(rest) < 5 {
		return nil, ErrShortMessage
	}
	if !s.verify(rest[0], rest[1], rest[2], rest[3], rest[4]) {
		return nil, ErrBadSignature
	}
	m := &Message{
		Identities: frames[:at],
		Parent:     rest[2],
		Metadata:   rest[3],
		Content:    rest[4],
		Buffers:    rest[5:],
		rawHeader:  rest[1],
	}
	if err := json.Unmarshal(rest[1], &m.Header); err != nil {
		return nil, fmt.Errorf("message header: %w", err)
	}
	for _, part := range []json.RawMessage{m.Parent, m.Metadata, m.Content} {
		if !json.Valid(part) {
			return nil, fmt.Errorf("message %q: a frame is not JSON", m.Header.Type)
		}
	}
	return m, nil
}

// encode returns the frames of a message with its signature.
func encode(m *Message, s *signer) [][]byte {
	header := []byte(m.RawHeader())
	parent, metadata, content := orEmpty(m.Parent), orEmpty(m.Metadata), orEmpty(m.Content)
	frames := make([][]byte, 0, len(m.Identities)+6+len(m.Buffers))
	frames = append(frames, m.Identities...)
	frames = append(frames, delimiter, s.sign(header, parent, metadata, content),
		header, parent, metadata, content)
	return append(frames, m.Buffers...)
}

func orEmpty(raw json.RawMessage) json.RawMessage {
	if len(raw) == 0 {
		return emptyObject
	}
	return raw
}

// Author makes headers of one kernel process: its session id and user name.
type Author struct {
	session  string
	username string
	count    atomic.Uint64
}

// NewAuthor returns an author with a fresh random session id.
func NewAuthor() *Author {
	return &Author{session: randomID(), username: username()}
}

// Session returns the session id in every header this author makes.
func (a *Author) Session() string { return a.session }

// Header returns a header with a new message id.
func (a *Author) Header(msgType string) Header {
	return Header{
		ID:       a.session + "_" + strconv.FormatUint(a.count.Add(1), 10),
		Session:  a.session,
		Username: a.username,
		Date:     time.Now().UTC().Format("2006-01-02T15:04:05.000000Z"),
		Type:     msgType,
		Version:  ProtocolVersion,
	}
}

// New returns a message of the given type that answers parent, which may be
// nil. Content is encoded as JSON.
func (a *Author) New(msgType string, parent *Message, content any) (*Message, error) {
	raw, err := encodeJSON(content)
	if err != nil {
		return nil, fmt.Errorf("content of %s: %w", msgType, err)
	}
	m := &Message{Header: a.Header(msgType), Content: raw, Parent: emptyObject}
	if parent != nil {
		m.Parent = parent.RawHeader()
	}
	return m, nil
}

// encodeJSON leaves <, > and & as they are: the content is JSON on a socket,
// never text in a page.
func encodeJSON(v any) (json.RawMessage, error) {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimRight(buf.Bytes(), "\n"), nil
}

// random is what a cell that sets rand.Reader does not replace.
var random = rand.Reader

func randomID() string {
	var b [16]byte
	io.ReadFull(random, b[:])
	return hex.EncodeToString(b[:])
}

func username() string {
	for _, key := range []string{"USER", "USERNAME", "LOGNAME"} {
		if name := os.Getenv(key); name != "" {
			return name
		}
	}
	if u, err := user.Current(); err == nil {
		return u.Username
	}
	return "kernel"
}
