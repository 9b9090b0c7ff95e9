package wire

import (
	"sync"
	"time"
)

// A peer that takes nothing for stallLimit while more than outboxBytes wait
// for it is given up; until then the sender waits, so that nothing is lost.
const (
	outboxBytes = 64 << 20
	stallLimit  = 10 * time.Second
)

// outbox sends messages to one peer on a goroutine of its own, several in one
// write when they come fast.
type outbox struct {
	peer *peer

	mu      sync.Mutex
	ready   *sync.Cond // messages wait, or the box is closed
	room    *sync.Cond // space was made, or the box is closed
	waiting [][][]byte
	bytes   int
	sending bool
	closed  bool
}

func newOutbox(p *peer) *outbox {
	o := &outbox{peer: p}
	o.ready = sync.NewCond(&o.mu)
	o.room = sync.NewCond(&o.mu)
	go o.run()
	return o
}

// send queues a message. It waits only while the peer is far behind.
func (o *outbox) send(frames [][]byte) {
	size := 0
	for _, f := range frames {
		size += len(f)
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.bytes > outboxBytes {
		stalled := time.AfterFunc(stallLimit, o.close)
		for o.bytes > outboxBytes && !o.closed {
			o.room.Wait()
		}
		stalled.Stop()
	}
	if o.closed {
		return
	}
	o.waiting = append(o.waiting, frames)
	o.bytes += size
	o.ready.Signal()
}

func (o *outbox) run() {
	for {
		o.mu.Lock()
		for len(o.waiting) == 0 && !o.closed {
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

		sent, err := o.write(batch)

		o.mu.Lock()
		o.sending = false
		o.bytes -= sent
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

func (o *outbox) write(batch [][][]byte) (sent int, err error) {
	for _, frames := range batch {
		if err := o.peer.queue(frames); err != nil {
			return sent, err
		}
		for _, f := range frames {
			sent += len(f)
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
	for (len(o.waiting) > 0 || o.sending) && !o.closed && time.Now().Before(deadline) {
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
