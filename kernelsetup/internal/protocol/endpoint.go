package protocol

import (
	"fmt"
	"time"
)

// Handlers receive messages as they come in, each on its connection's
// goroutine.
type Handlers struct {
	Shell, Control, Stdin func(*Message)
}

// Endpoint is a kernel's side of a connection: five bound sockets.
type Endpoint struct {
	Shell   *Router
	Control *Router
	Stdin   *Router
	IOPub   *Publisher
	Author  *Author

	heartbeat *listener
}

// Bind opens the five sockets at exactly the addresses the connection names.
func Bind(c Connection, h Handlers) (*Endpoint, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	s, shared := newSigner(c.Key), newBudget(strangerBytes)
	e := &Endpoint{Author: NewAuthor()}
	opened := func(name string, port int, err error) error {
		if err == nil {
			return nil
		}
		e.Close()
		return fmt.Errorf("%s socket: cannot listen on %s port %d: %w", name, c.IP, port, err)
	}
	var err error
	e.heartbeat, err = listenHeartbeat(c)
	if err := opened("heartbeat", c.HeartbeatPort, err); err != nil {
		return nil, err
	}
	// IOPub first among the rest: whoever reaches shell can subscribe.
	e.IOPub, err = newPublisher(c, s, e.Author)
	if err := opened("iopub", c.IOPubPort, err); err != nil {
		return nil, err
	}
	for _, r := range []struct {
		name   string
		port   int
		handle func(*Message)
		to     **Router
	}{
		{"stdin", c.StdinPort, h.Stdin, &e.Stdin},
		{"control", c.ControlPort, h.Control, &e.Control},
		{"shell", c.ShellPort, h.Shell, &e.Shell},
	} {
		*r.to, err = newRouter(c, r.port, s, e.Author.session, shared, r.handle)
		if err := opened(r.name, r.port, err); err != nil {
			return nil, err
		}
	}
	return e, nil
}

// Drain waits until all queued messages were handed to the operating system.
func (e *Endpoint) Drain(limit time.Duration) {
	deadline := time.Now().Add(limit)
	e.IOPub.drain(deadline)
	for _, r := range []*Router{e.Shell, e.Control, e.Stdin} {
		r.drain(deadline)
	}
}

// Close closes all sockets.
func (e *Endpoint) Close() {
	if e.heartbeat != nil {
		e.heartbeat.close()
	}
	if e.IOPub != nil {
		e.IOPub.ln.close()
	}
	for _, r := range []*Router{e.Shell, e.Control, e.Stdin} {
		if r != nil {
			r.ln.close()
		}
	}
}
