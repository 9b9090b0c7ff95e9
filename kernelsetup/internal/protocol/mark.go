package protocol

import "net"

// counted counts the bytes that are read.
type counted struct {
	net.Conn
	n uint64
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.Conn.Read(p)
	c.n += uint64(n)
	return n, err
}

// taken is how many bytes of the connection were taken so far.
func (g *guard) taken() uint64 { return g.n - uint64(g.in.Buffered()) }

// SendMarking is Send, and notes how much has come on each connection when the
// message leaves, whether or not anybody has read it by then.
func (r *Router) SendMarking(m *Message) { r.send(m, true) }

func (r *Router) mark() {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, to := range r.boxes {
		if n := arrived(to.peer.guard.Conn); n > 0 {
			to.peer.mark.Store(n)
		}
	}
}

// Marked reports whether m had come, or begun to, before the last message
// that was sent with [Router.SendMarking]: its sender cannot have seen that.
// Only Linux tells how much has come, and of TCP alone; elsewhere it is false.
func (m *Message) Marked() bool { return m.from != nil && m.start < m.from.mark.Load() }
