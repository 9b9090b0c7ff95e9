package protocol

import "github.com/go-zeromq/zmq4"

// listenHeartbeat binds the socket that returns every message unchanged, where
// it is no longer than plainBytes. It
// runs beside everything else, so that a busy kernel is not taken for a dead
// one.
func listenHeartbeat(c Connection) (*listener, error) {
	return listen(c, c.HeartbeatPort, zmq4.Rep, nil, func(p *peer) {
		p.plain = true
		for {
			frames, err := p.receive()
			if err != nil {
				return
			}
			if p.queue(frames) != nil || p.flush() != nil {
				return
			}
		}
	})
}
