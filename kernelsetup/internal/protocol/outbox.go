package protocol

import (
	"errors"
	"os"
	"sync"
	"time"
)

// A peer that takes nothing for stallLimit while more than outboxBytes wait
// for it is given up; until then the sender waits, so that nothing is lost.
// It waits for besideLimit only where another peer that gets the same keeps
// up, and for besideInAll in all until this one has caught up: whoever knows the
// port may subscribe, and shall delay nobody.
const (
	outboxBytes = 64 << 20
	stallLimit  = 10 * time.Second
	besideLimit = 500 * time.Millisecond
	besideInAll = 5 * time.Second
)

// A message of up to directBytes is written by its sender while nothing else
// waits: handing it to another goroutine costs more than the write. A peer
// that does not take it within directLimit is left to that goroutine.
const (
	directBytes = 16 << 10
	directLimit = 2 * time.Millisecond
)

// accountBytes is how much of a long batch is written before its senders hear
// of it.
const accountBytes = 256 << 10

// outbox sends messages to one peer in their order, several in one write when
// they come fast, on a goroutine of its own where the peer does not keep up.
type outbox struct {
	peer *peer

	mu      sync.Mutex
	ready   *sync.Cond // messages wait, or the box is closed
	room    *sync.Cond // space was made, or the box is closed
	waiting [][][]byte
	bytes   int
	rest    int  // bytes of a message of which a part is still to be written
	sending bool // somebody writes to the peer
	closed  bool

	patience time.Duration // what is left of besideInAll
}

func newOutbox(p *peer) *outbox {
	o := &outbox{peer: p, patience: besideInAll}
	o.ready = sync.NewCond(&o.mu)
	o.room = sync.NewCond(&o.mu)
	go o.run()
	return o
}

// send queues a message. It waits only while the peer is far behind.
func (o *outbox) send(frames [][]byte) { o.sendWithin(frames, stallLimit) }

// behind reports whether the next message would have to wait.
func (o *outbox) behind() bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.bytes > outboxBytes && !o.closed
}

// sendBeside is send for a peer that is behind where others keep up: given up
// when it takes nothing for patience, or has been waited for too often.
func (o *outbox) sendBeside(frames [][]byte, patience time.Duration) {
	o.mu.Lock()
	defer o.mu.Unlock()
	began := time.Now()
	o.sendLocked(frames, min(patience, o.patience))
	o.patience -= time.Since(began)
}

// sendWithin is send for a peer that is given up when it takes nothing for
// patience.
func (o *outbox) sendWithin(frames [][]byte, patience time.Duration) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.sendLocked(frames, patience)
}

func (o *outbox) sendLocked(frames [][]byte, patience time.Duration) {
	size := 0
	for _, f := range frames {
		size += len(f)
	}
	if o.bytes > outboxBytes {
		stalled := time.AfterFunc(patience, o.close)
		for o.bytes > outboxBytes && !o.closed {
			o.room.Wait()
		}
		stalled.Stop()
	}
	if o.closed {
		return
	}
	o.bytes += size
	if size <= directBytes && !o.sending && len(o.waiting) == 0 && o.rest == 0 {
		o.sendDirectly(frames, size)
		return
	}
	o.waiting = append(o.waiting, frames)
	if !o.sending {
		o.ready.Signal()
	}
}

// sendDirectly writes a message; the lock is held before and after.
func (o *outbox) sendDirectly(frames [][]byte, size int) {
	o.sending = true
	o.mu.Unlock()
	err := o.peer.queue(frames)
	if err == nil {
		err = o.peer.flushWithin(directLimit)
	}
	o.mu.Lock()
	o.sending = false
	switch {
	case err == nil:
		o.bytes -= size
	case errors.Is(err, os.ErrDeadlineExceeded):
		o.rest = size
	default:
		o.closed = true
		o.peer.close()
	}
	o.room.Broadcast()
	if o.closed || o.rest > 0 || len(o.waiting) > 0 {
		o.ready.Signal()
	}
}

func (o *outbox) run() {
	for {
		o.mu.Lock()
		for (o.sending || len(o.waiting) == 0 && o.rest == 0) && !o.closed {
			o.ready.Wait()
		}
		if o.closed {
			o.mu.Unlock()
			return
		}
		batch := o.waiting
		o.waiting = nil
		o.sending = true
		o.mu.Unlock()

		sent, err := o.write(batch) // with what is left of an earlier one

		o.mu.Lock()
		o.sending = false
		o.bytes -= sent + o.rest
		o.rest = 0
		if o.bytes == 0 {
			o.patience = besideInAll
		}
		if err != nil {
			o.closed = true
		}
		o.room.Broadcast()
		o.mu.Unlock()
		if err != nil {
			o.peer.close()
			return
		}
	}
}

// write returns how many bytes it has not yet taken off the account.
func (o *outbox) write(batch [][][]byte) (sent int, err error) {
	for _, frames := range batch {
		if err := o.peer.queue(frames); err != nil {
			return sent, err
		}
		for _, f := range frames {
			sent += len(f)
		}
		if sent > accountBytes { // a sender may wait for as much
			o.mu.Lock()
			o.bytes -= sent
			o.room.Broadcast()
			o.mu.Unlock()
			sent = 0
		}
	}
	return sent, o.peer.flush()
}

// drain waits until everything queued was handed to the operating system, or
// until the deadline.
func (o *outbox) drain(deadline time.Time) {
	timer := time.AfterFunc(time.Until(deadline), func() { o.room.Broadcast() })
	defer timer.Stop()
	o.mu.Lock()
	defer o.mu.Unlock()
	for (len(o.waiting) > 0 || o.sending || o.rest > 0) && !o.closed && time.Now().Before(deadline) {
		o.room.Wait()
	}
}

func (o *outbox) close() {
	o.mu.Lock()
	o.closed = true
	o.ready.Broadcast()
	o.room.Broadcast()
	o.mu.Unlock()
	o.peer.close()
}
