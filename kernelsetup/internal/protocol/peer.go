package protocol

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"net"
	"strconv"
	"sync/atomic"
	"time"

	"github.com/go-zeromq/zmq4"
	"github.com/go-zeromq/zmq4/security/null"
)

// Limits on what one connection may send that has shown the key: memory grows
// with what comes, so that they cost nothing until they are used. What others
// may send stands in budget.go.
const (
	maxMessageBytes  = 1 << 29
	maxMessageFrames = 1 << 10
	handshakeTimeout = 10 * time.Second
)

// The greeting speaks ZMTP 3.0, which knows no commands after the handshake.
var errCommand = errors.New("ZMTP command after the handshake")

var errTooLarge = errors.New("message larger than this kernel accepts")

// peer is one connection of a bound socket. The ZMTP greeting, the handshake
// and the frames that go out are zmq4's; the guard below it refuses wild
// lengths and turns the many small writes of a message into one. Frames that
// come in are read here: zmq4 reserves memory for what a length announces.
type peer struct {
	conn  *zmq4.Conn
	guard *guard
	mark  atomic.Uint64 // see Router.SendMarking
	// identity routes replies; it is ours, since two clients may claim the
	// same one.
	identity []byte
	opened   time.Time

	// shared is what this connection and others may hold until it is trusted.
	shared  *budget
	trusted bool // it has shown the key, or there is none
	plain   bool // it sends what nobody signs, and little of it
	read    int  // bytes of the message at hand
	held    int  // of shared
}

// greet does the handshake of an accepted connection. It never panics,
// whatever the other side sends.
func greet(raw net.Conn, kind zmq4.SocketType, identity uint64, shared *budget) (p *peer, err error) {
	defer func() {
		if r := recover(); r != nil {
			p, err = nil, fmt.Errorf("handshake: %v", r)
		}
		if err != nil {
			raw.Close()
		}
	}()
	g := newGuard(raw)
	raw.SetDeadline(time.Now().Add(handshakeTimeout))
	conn, err := zmq4.Open(g, null.Security(), kind, nil, true, nil)
	if err != nil {
		return nil, err
	}
	raw.SetDeadline(time.Time{})
	g.buffered = true
	id := make([]byte, 5)
	binary.BigEndian.PutUint32(id[1:], uint32(identity))
	return &peer{conn: conn, guard: g, identity: id, opened: time.Now(), shared: shared}, nil
}

// queue writes a message into the connection's buffer; flush sends it. Only
// one goroutine may do either.
func (p *peer) queue(frames [][]byte) error {
	return p.conn.SendMsg(zmq4.NewMsgFrom(frames...))
}

func (p *peer) flush() error { return p.guard.Flush() }

// flushWithin is flush for at most a time; then it returns
// os.ErrDeadlineExceeded, and flush does the rest.
func (p *peer) flushWithin(limit time.Duration) error {
	p.guard.SetWriteDeadline(time.Now().Add(limit))
	defer p.guard.SetWriteDeadline(time.Time{})
	return p.flush()
}

func (p *peer) close() error { return p.guard.Close() }

// guard is a net.Conn that checks ZMTP frame lengths of the handshake as they
// pass and buffers both directions.
type guard struct {
	*counted
	in       *bufio.Reader
	out      []byte // not yet taken by the connection
	buffered bool

	skip  int    // greeting bytes still to pass
	body  uint64 // bytes of a frame still to pass
	bytes uint64 // of all frames of the handshake
}

const greetingBytes = 64

func newGuard(raw net.Conn) *guard {
	if tcp, ok := raw.(*net.TCPConn); ok {
		tcp.SetNoDelay(true)
	}
	c := &counted{Conn: raw}
	return &guard{
		counted: c,
		in:      bufio.NewReaderSize(c, 16<<10),
		skip:    greetingBytes,
	}
}

// Read hands on the bytes of the greeting and of frame bodies as they are,
// and looks at a frame's header before handing it on.
func (g *guard) Read(p []byte) (int, error) {
	switch {
	case g.skip > 0:
		n, err := g.in.Read(p[:min(len(p), g.skip)])
		g.skip -= n
		return n, err
	case g.body > 0:
		n, err := g.in.Read(p[:min(uint64(len(p)), g.body)])
		g.body -= uint64(n)
		return n, err
	}
	h, err := g.header()
	if err != nil {
		return 0, err
	}
	if g.bytes += h.size + uint64(h.length); h.size > handshakeBytes || g.bytes > handshakeBytes {
		return 0, errTooLarge
	}
	g.body = h.size + uint64(h.length)
	n, err := g.in.Read(p[:min(uint64(len(p)), g.body)])
	g.body -= uint64(n)
	return n, err
}

// frameHeader is the beginning of a frame.
type frameHeader struct {
	length        int // of the header itself
	size          uint64
	more, command bool
}

// header looks at the next frame's header and leaves it there.
func (g *guard) header() (frameHeader, error) {
	const more, long, command = 1, 2, 4
	flags, err := g.in.Peek(1)
	if err != nil {
		return frameHeader{}, err
	}
	h := frameHeader{length: 2, more: flags[0]&more != 0, command: flags[0]&command != 0}
	if flags[0]&long != 0 {
		h.length = 9
	}
	b, err := g.in.Peek(h.length)
	if err != nil {
		return frameHeader{}, err
	}
	if h.length == 2 {
		h.size = uint64(b[1])
	} else {
		h.size = binary.BigEndian.Uint64(b[1:])
	}
	return h, nil
}

// Write goes to the buffer once the handshake is over.
func (g *guard) Write(p []byte) (int, error) {
	g.out = append(g.out, p...)
	if !g.buffered || len(g.out) >= outBytes {
		return len(p), g.Flush()
	}
	return len(p), nil
}

// outBytes is how much of a batch is collected for one write.
const outBytes = 32 << 10

// Flush writes the buffer. After an error it holds what was not written, so
// that a write which ran into its deadline can be taken up again.
func (g *guard) Flush() error {
	for len(g.out) > 0 {
		n, err := g.Conn.Write(g.out)
		g.out = g.out[:copy(g.out, g.out[n:])]
		if err != nil {
			return err
		}
	}
	if cap(g.out) > 4*outBytes {
		g.out = nil
	}
	return nil
}

func joinHostPort(host string, port int) string {
	return net.JoinHostPort(host, strconv.Itoa(port))
}
