package protocol

import (
	"sync"
	"sync/atomic"
	"time"

	"github.com/go-zeromq/zmq4"
)

// Router is a bound ROUTER socket: shell, control or stdin.
type Router struct {
	signer  *signer
	own     string // the kernel's own session
	ln      *listener
	handle  func(*Message)
	refused atomic.Int64

	mu    sync.Mutex
	boxes map[string]routed
}

type routed struct {
	box  *outbox
	peer *peer
}

// newRouter binds a router. handle is called for each good message, on the
// goroutine of its connection; it must not block for long. Connections that
// have signed nothing yet share the memory for what they send.
func newRouter(c Connection, port int, s *signer, own string, shared *budget, handle func(*Message)) (*Router, error) {
	r := &Router{signer: s, own: own, handle: handle, boxes: map[string]routed{}}
	ln, err := listen(c, port, zmq4.Router, shared, r.serve)
	if err != nil {
		return nil, err
	}
	r.ln = ln
	return r, nil
}

func (r *Router) serve(p *peer) {
	p.trusted = r.signer.open()
	box := newOutbox(p)
	defer box.close()
	key := string(p.identity)
	r.mu.Lock()
	r.boxes[key] = routed{box, p}
	r.mu.Unlock()
	defer func() {
		r.mu.Lock()
		delete(r.boxes, key)
		r.mu.Unlock()
	}()
	claimed := []byte(p.conn.Peer.Meta["Identity"])
	for {
		start := p.guard.taken()
		frames, err := p.receive()
		if err != nil {
			return
		}
		m, err := decode(frames, r.signer)
		// Everybody can listen to what the kernel publishes: sending that back
		// does not show the key.
		if err != nil || m.Header.Session == r.own {
			r.refused.Add(1)
			continue
		}
		p.trust()
		m.Identities = append([][]byte{p.identity, claimed}, m.Identities...)
		m.from, m.start = p, start
		r.handle(m)
	}
}

// Send routes a message to the peer in its first identity frame. A peer that
// has gone is no error: nobody is left to tell.
func (r *Router) Send(m *Message) { r.send(m, false) }

func (r *Router) send(m *Message, marking bool) {
	if len(m.Identities) < 2 {
		return
	}
	to, ok := r.lookup(string(m.Identities[0]))
	out := *m
	out.Identities = m.Identities[2:]
	frames := encode(&out, r.signer)
	if marking {
		r.mark()
	}
	if ok {
		to.box.send(frames)
	}
}

// SendTo sends to the peer that claims the same ZeroMQ identity as the sender
// of a request on another socket; a client uses one identity on shell and
// stdin. It reports whether there is such a peer.
func (r *Router) SendTo(claimed []byte, m *Message) bool {
	r.mu.Lock()
	var found []*outbox
	for _, to := range r.boxes {
		if to.peer.conn.Peer.Meta["Identity"] == string(claimed) {
			found = append(found, to.box)
		}
	}
	r.mu.Unlock()
	if len(found) == 0 {
		return false
	}
	frames := encode(m, r.signer)
	for _, box := range found {
		box.send(frames)
	}
	return true
}

// Claimed returns the ZeroMQ identity that the sender of a received message
// claims for itself.
func Claimed(m *Message) []byte {
	if len(m.Identities) < 2 {
		return nil
	}
	return m.Identities[1]
}

// Age tells how long ago the sender of a message connected.
func (r *Router) Age(m *Message) time.Duration {
	if len(m.Identities) > 0 {
		if to, ok := r.lookup(string(m.Identities[0])); ok {
			return time.Since(to.peer.opened)
		}
	}
	return time.Hour
}

// Peers returns the number of live connections.
func (r *Router) Peers() int { return r.ln.count() }

// Refused returns how many messages were dropped for a wrong signature or
// form.
func (r *Router) Refused() int64 { return r.refused.Load() }

func (r *Router) lookup(key string) (routed, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	to, ok := r.boxes[key]
	return to, ok
}

func (r *Router) drain(deadline time.Time) {
	r.mu.Lock()
	boxes := make([]*outbox, 0, len(r.boxes))
	for _, to := range r.boxes {
		boxes = append(boxes, to.box)
	}
	r.mu.Unlock()
	for _, box := range boxes {
		box.drain(deadline)
	}
}
