package protocol

import (
	"errors"
	"sync"
	"time"
)

// Limits on what a connection may send before one of its messages carried a
// right signature. Nobody needs more: clients begin with a request of a few
// hundred bytes.
const (
	// freeBytes of each message are read without asking.
	freeBytes = 16 << 10
	// strangerBytes is what all such connections of a kernel may have in its
	// memory together beyond that.
	strangerBytes = 32 << 20
	// handshakeBytes are enough for the one command of a handshake.
	handshakeBytes = 8 << 10
	// plainBytes bounds what sockets read that know no signatures: the
	// heartbeat's echo and a subscription's topic.
	plainBytes = freeBytes
	// messageTime is how long a message may take that draws on strangerBytes.
	messageTime = 10 * time.Second
	// maxConnections bounds those of one socket; each costs some 30 kB and a
	// descriptor of the process.
	maxConnections = 500
)

var errBudget = errors.New("unsigned connections together hold more than this kernel keeps for them")

// budget is memory that several connections share.
type budget struct {
	mu   sync.Mutex
	left int
}

func newBudget(bytes int) *budget { return &budget{left: bytes} }

// take reports whether there was as much.
func (b *budget) take(bytes int) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	if bytes > b.left {
		return false
	}
	b.left -= bytes
	return true
}

func (b *budget) give(bytes int) {
	b.mu.Lock()
	b.left += bytes
	b.mu.Unlock()
}
