package protocol

import (
	"bytes"
	"sync"
	"time"

	"github.com/go-zeromq/zmq4"
)

// Publisher is the IOPub socket: an XPUB that greets each new subscription
// with iopub_welcome, so that a client knows from when on it misses nothing.
type Publisher struct {
	signer *signer
	author *Author
	ln     *listener

	mu      sync.Mutex
	joined  chan struct{} // closed and replaced at each new subscriber
	readers map[*peer]*reader
}

type reader struct {
	box    *outbox
	topics [][]byte
}

func newPublisher(c Connection, s *signer, a *Author) (*Publisher, error) {
	p := &Publisher{signer: s, author: a, readers: map[*peer]*reader{}, joined: make(chan struct{})}
	ln, err := listen(c, c.IOPubPort, zmq4.XPub, nil, p.serve)
	if err != nil {
		return nil, err
	}
	p.ln = ln
	return p, nil
}

func (p *Publisher) serve(from *peer) {
	from.plain = true
	box := newOutbox(from)
	defer box.close()
	r := &reader{box: box}
	defer func() {
		p.mu.Lock()
		delete(p.readers, from)
		p.mu.Unlock()
	}()
	for {
		frames, err := from.receive()
		if err != nil {
			return
		}
		// A subscription is one frame: 1 or 0, then the topic.
		if len(frames) != 1 || len(frames[0]) == 0 || len(frames[0]) > maxTopic {
			continue
		}
		topic := bytes.Clone(frames[0][1:])
		switch frames[0][0] {
		case 1:
			p.subscribe(from, r, topic)
		case 0:
			p.unsubscribe(r, topic)
		}
	}
}

// Limits on what a subscriber makes the kernel keep.
const (
	maxTopics = 256
	maxTopic  = 1 << 10 // bytes
)

func (p *Publisher) subscribe(from *peer, r *reader, topic []byte) {
	welcome, err := p.author.New("iopub_welcome", nil, map[string]string{"subscription": string(topic)})
	if err != nil {
		return
	}
	welcome.Identities = [][]byte{topic}
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(r.topics) >= maxTopics {
		return
	}
	r.topics = append(r.topics, topic)
	p.readers[from] = r
	// Queued under the lock: the welcome comes before all that is published
	// from now on. Nobody waits for a peer here that is far behind.
	r.box.sendWithin(encode(welcome, p.signer), 0)
	close(p.joined)
	p.joined = make(chan struct{})
}

func (p *Publisher) unsubscribe(r *reader, topic []byte) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for i, t := range r.topics {
		if bytes.Equal(t, topic) {
			r.topics = append(r.topics[:i:i], r.topics[i+1:]...)
			return
		}
	}
}

// Publish sends a message to all subscribers of its topic, the first identity
// frame. Messages published one after another arrive in that order.
func (p *Publisher) Publish(m *Message) {
	frames := encode(m, p.signer)
	topic := frames[0]
	if len(m.Identities) == 0 {
		topic = nil
	}
	p.mu.Lock()
	boxes := make([]*outbox, 0, 4)
	for _, r := range p.readers {
		if r.wants(topic) {
			boxes = append(boxes, r.box)
		}
	}
	p.mu.Unlock()
	// Those that keep up come first, and wait for all the others together only
	// a moment.
	var behind []*outbox
	for _, box := range boxes {
		if box.behind() {
			behind = append(behind, box)
		} else {
			box.send(frames)
		}
	}
	send, patience := (*outbox).sendWithin, stallLimit
	if len(behind) < len(boxes) {
		send, patience = (*outbox).sendBeside, besideLimit
	}
	until := time.Now().Add(patience)
	for _, box := range behind {
		send(box, frames, time.Until(until))
	}
}

func (r *reader) wants(topic []byte) bool {
	for _, t := range r.topics {
		if bytes.HasPrefix(topic, t) {
			return true
		}
	}
	return false
}

// Subscribers returns the number of connections with a subscription.
func (p *Publisher) Subscribers() int {
	p.mu.Lock()
	defer p.mu.Unlock()
	return len(p.readers)
}

// WaitFor waits until there are n subscribers, at most for the given time.
func (p *Publisher) WaitFor(n int, limit time.Duration) {
	timeout := time.NewTimer(limit)
	defer timeout.Stop()
	for {
		p.mu.Lock()
		have, joined := len(p.readers), p.joined
		p.mu.Unlock()
		if have >= n {
			return
		}
		select {
		case <-joined:
		case <-timeout.C:
			return
		}
	}
}

func (p *Publisher) drain(deadline time.Time) {
	p.mu.Lock()
	boxes := make([]*outbox, 0, len(p.readers))
	for _, r := range p.readers {
		boxes = append(boxes, r.box)
	}
	p.mu.Unlock()
	for _, box := range boxes {
		box.drain(deadline)
	}
}
