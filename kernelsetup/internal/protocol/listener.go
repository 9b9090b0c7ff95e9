package protocol

import (
	"errors"
	"net"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/go-zeromq/zmq4"
)

// listener accepts connections of one bound socket, each on a goroutine of
// its own so that a stalled handshake holds up nobody.
type listener struct {
	net    net.Listener
	kind   zmq4.SocketType
	shared *budget
	serve  func(*peer)
	nextID atomic.Uint64
	open   atomic.Int64 // connections, those in the handshake too

	mu     sync.Mutex
	peers  map[*peer]struct{}
	closed bool
}

func listen(c Connection, port int, kind zmq4.SocketType, shared *budget, serve func(*peer)) (*listener, error) {
	ln, err := bind(c.address(port))
	if err != nil {
		return nil, err
	}
	l := &listener{net: ln, kind: kind, shared: shared, serve: serve, peers: map[*peer]struct{}{}}
	go l.accept()
	return l, nil
}

// bindTime is how long a port is waited for that is in use. A front end that
// restarts a kernel calls the old ports all the while, and the system may lend
// such a call the very port that it calls.
const bindTime = 2 * time.Second

func bind(network, address string) (net.Listener, error) {
	for end := time.Now().Add(bindTime); ; time.Sleep(20 * time.Millisecond) {
		ln, err := net.Listen(network, address)
		if err == nil || !errors.Is(err, syscall.EADDRINUSE) || time.Now().After(end) {
			return ln, err
		}
	}
}

func (l *listener) accept() {
	for {
		raw, err := l.net.Accept()
		if err != nil {
			if errors.Is(err, net.ErrClosed) {
				return
			}
			time.Sleep(10 * time.Millisecond) // out of descriptors, for example
			continue
		}
		if l.open.Add(1) > maxConnections {
			l.open.Add(-1)
			raw.Close()
			continue
		}
		go l.welcome(raw)
	}
}

func (l *listener) welcome(raw net.Conn) {
	defer l.open.Add(-1)
	p, err := greet(raw, l.kind, l.nextID.Add(1), l.shared)
	if err != nil {
		return
	}
	if !l.add(p) {
		p.close()
		return
	}
	defer l.remove(p)
	l.serve(p)
}

func (l *listener) add(p *peer) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.closed {
		return false
	}
	l.peers[p] = struct{}{}
	return true
}

func (l *listener) remove(p *peer) {
	p.close()
	p.release()
	l.mu.Lock()
	delete(l.peers, p)
	l.mu.Unlock()
}

func (l *listener) count() int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return len(l.peers)
}

func (l *listener) close() {
	l.mu.Lock()
	l.closed = true
	peers := make([]*peer, 0, len(l.peers))
	for p := range l.peers {
		peers = append(peers, p)
	}
	l.mu.Unlock()
	l.net.Close()
	for _, p := range peers {
		p.close()
	}
}
