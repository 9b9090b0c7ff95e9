// Package ipc (inter-process communication) carries messages between the
// process that talks to a front end and the one that runs its cells. It knows
// how they travel, not what they mean: a message is a kind, a number and some
// pieces of bytes.
package ipc

import (
	"bufio"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"sync"
)

// Kind says what a message is.
type Kind byte

// Messages to the process that runs cells; each but Interrupt and Answer is
// answered by a Reply with its number.
const (
	Run       Kind = 1 + iota // name, text, terms
	Comm                      // channel, data
	Complete                  // source, cursor
	Inspect                   // source, cursor and detail
	Finished                  // source: is it complete?
	Restore                   // head, then names and bytes of pieces
	Release                   // nothing
	Interrupt                 // the request's number in the message's
	Answer                    // to a message of the other side; its number
)

// Messages from it; those with a number other than zero wait for an Answer.
const (
	Reply  Kind = 32 + iota // to a request, its number
	Ready                   // it runs
	Begun                   // a cell, its number: something of it may have happened; see Begin
	Show                    // id, forms
	Update                  // id, forms
	Clear                   // wait
	Open                    // channel, target, data, metadata
	Send                    // channel, data
	Close                   // channel
	Ask                     // nothing
	Late                    // cell, stream, text
	Piece                   // name, some of its bytes
	Saved                   // what can be restored: head, names of its pieces
)

// Message is one message.
type Message struct {
	Kind  Kind
	ID    uint64
	Parts [][]byte
}

// New returns a message; its parts are strings, bytes, or anything else that
// becomes JSON.
func New(kind Kind, id uint64, parts ...any) Message {
	m := Message{Kind: kind, ID: id}
	for _, p := range parts {
		switch p := p.(type) {
		case string:
			m.Parts = append(m.Parts, []byte(p))
		case []byte:
			m.Parts = append(m.Parts, p)
		case json.RawMessage:
			m.Parts = append(m.Parts, p)
		default:
			raw, err := json.Marshal(p)
			if err != nil {
				raw = []byte("null")
			}
			m.Parts = append(m.Parts, raw)
		}
	}
	return m
}

// Part returns a piece as text, empty where there is none.
func (m Message) Part(i int) string { return string(m.Bytes(i)) }

// Bytes returns a piece, nil where there is none.
func (m Message) Bytes(i int) []byte {
	if i >= len(m.Parts) {
		return nil
	}
	return m.Parts[i]
}

// Decode reads a piece that is JSON.
func (m Message) Decode(i int, into any) error { return json.Unmarshal(m.Bytes(i), into) }

// Limits of what is read: a cell can write to any file it finds.
const (
	maxParts = 1 << 12
	maxBytes = 1 << 30
)

// headBytes is the kind, the number and how many pieces follow.
const headBytes = 1 + 8 + 4

// Conn is one end of a connection. Messages may be written by several
// goroutines and are read by one.
type Conn struct {
	in  *bufio.Reader
	out io.Writer
	end []io.Closer
	// note holds the number of the request that was begun last; nil: it is
	// told by messages.
	note *os.File

	mu  sync.Mutex
	buf []byte
}

// NewConn returns a connection that reads and writes two files.
func NewConn(r io.ReadCloser, w io.WriteCloser) *Conn {
	return &Conn{in: bufio.NewReaderSize(r, 32<<10), out: w, end: []io.Closer{r, w}}
}

// Note has both sides keep in a file, which is nobody else's, which request was
// begun last: a message would wake the other process for what it asks only
// after a death. A nil one is none.
func (c *Conn) Note(f *os.File) {
	if f != nil {
		c.note = f
		c.end = append(c.end, f)
	}
}

// Begin tells the other side that something of a request may have happened.
// Requests are begun in the order of their numbers.
func (c *Conn) Begin(id uint64) error {
	if c.note != nil {
		if _, err := c.note.WriteAt(binary.LittleEndian.AppendUint64(nil, id), 0); err == nil {
			return nil
		}
	}
	return c.Write(New(Begun, id))
}

// LastBegun is the greatest number of a request that the other side has begun,
// as far as the note tells; 0 where it tells nothing.
func (c *Conn) LastBegun() uint64 {
	var b [8]byte
	if c.note == nil {
		return 0
	}
	if _, err := c.note.ReadAt(b[:], 0); err != nil {
		return 0
	}
	return binary.LittleEndian.Uint64(b[:])
}

// Close closes the files.
func (c *Conn) Close() {
	for _, e := range c.end {
		e.Close()
	}
}

// Write sends a message. It fails when the other side has gone.
func (c *Conn) Write(m Message) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	b := append(c.buf[:0], byte(m.Kind))
	b = binary.LittleEndian.AppendUint64(b, m.ID)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(m.Parts)))
	for _, p := range m.Parts {
		b = binary.LittleEndian.AppendUint32(b, uint32(len(p)))
		b = append(b, p...)
	}
	_, err := c.out.Write(b)
	if c.buf = b[:0]; cap(b) > 1<<20 {
		c.buf = nil
	}
	return err
}

// Read returns the next message. It fails when the other side has gone or
// does not write messages.
func (c *Conn) Read() (m Message, err error) {
	var head [headBytes]byte
	if _, err := io.ReadFull(c.in, head[:]); err != nil {
		return m, err
	}
	m.Kind, m.ID = Kind(head[0]), binary.LittleEndian.Uint64(head[1:])
	n, total := binary.LittleEndian.Uint32(head[9:]), 0
	if n > maxParts {
		return m, fmt.Errorf("a message of %d pieces", n)
	}
	m.Parts = make([][]byte, n)
	for i := range m.Parts {
		if _, err := io.ReadFull(c.in, head[:4]); err != nil {
			return m, err
		}
		size := int(binary.LittleEndian.Uint32(head[:]))
		if total += size; total > maxBytes {
			return m, fmt.Errorf("a message of %d bytes", total)
		}
		m.Parts[i] = make([]byte, size)
		if _, err := io.ReadFull(c.in, m.Parts[i]); err != nil {
			return m, err
		}
	}
	return m, nil
}
