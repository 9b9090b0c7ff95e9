package protocol

import (
	"io"
	"time"
)

// pieceBytes is how much of a frame is made room for at first. The room
// doubles with what has come, so that a length alone costs nothing.
const pieceBytes = 16 << 10

// receive returns the next message's frames. After an error the connection is
// of no use any more.
func (p *peer) receive() (frames [][]byte, err error) {
	p.release()
	p.read = 0
	most := uint64(maxMessageBytes)
	if p.plain {
		most = plainBytes
	}
	for total := uint64(0); ; {
		h, err := p.guard.header()
		if err != nil {
			return nil, err
		}
		if h.command {
			return nil, errCommand
		}
		// Compared so that no sum can run over.
		if h.size > most-total || len(frames) == maxMessageFrames {
			return nil, errTooLarge
		}
		total += h.size
		p.guard.in.Discard(h.length)
		frame, err := p.readFrame(int(h.size))
		if err != nil {
			return nil, err
		}
		frames = append(frames, frame)
		if !h.more {
			break
		}
	}
	if p.held > 0 {
		p.guard.SetReadDeadline(time.Time{})
	}
	return frames, nil
}

func (p *peer) readFrame(size int) ([]byte, error) {
	frame := []byte{}
	for len(frame) < size {
		have := len(frame)
		piece := min(size-have, max(have, pieceBytes))
		if err := p.hold(piece); err != nil {
			return nil, err
		}
		grown := make([]byte, have+piece)
		copy(grown, frame)
		if _, err := io.ReadFull(p.guard.in, grown[have:]); err != nil {
			return nil, err
		}
		frame = grown
	}
	return frame, nil
}

// hold accounts for bytes of a message that are about to be read. A stranger
// that needs more than is free gets it from what all strangers share, and
// not for long.
func (p *peer) hold(bytes int) error {
	p.read += bytes
	more := p.read - freeBytes - p.held
	if p.trusted || more <= 0 {
		return nil
	}
	if !p.shared.take(more) {
		return errBudget
	}
	if p.held == 0 {
		p.guard.SetReadDeadline(time.Now().Add(messageTime))
	}
	p.held += more
	return nil
}

// release gives back what the last message held.
func (p *peer) release() {
	if p.held > 0 {
		p.shared.give(p.held)
		p.held = 0
	}
}

// trust notes that the last message was signed with the key.
func (p *peer) trust() {
	p.trusted = true
	p.release()
}
