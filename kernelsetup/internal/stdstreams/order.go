package stdstreams

import (
	"runtime"
	"sync/atomic"
	"time"
)

// ordered is set while what this process writes is read by this package, here
// or in another process.
var ordered atomic.Bool

// inOrder makes two streams hand on their text in the order in which it was
// read.
func inOrder(a, b *stream) { a.other, b.other = b, a }

// turns counts how often the streams took turns of late.
type turns struct {
	since time.Time
	count int
}

// mostTurns is how many changes from one stream to the other are handed on
// within batchTime: each is a message, and front ends lose some of very many.
const mostTurns = 100

// turn is called when the other stream goes on, with the lock held: writers
// who wait for their readers wait longer when there are too many.
func (s *stream) turn() {
	if s.name != Stdout { // one count for both
		s = s.other
	}
	now := time.Now()
	if now.Sub(s.turns.since) > batchTime {
		s.turns = turns{since: now}
	}
	if s.turns.count++; s.turns.count == mostTurns {
		time.Sleep(batchTime - now.Sub(s.turns.since))
	}
}

// drainTime is how long Drained waits at most: the reader may have gone.
const drainTime = 200 * time.Millisecond

// Drained waits until what this process has written to standard output (fd 1)
// or standard error (2) was read, where this package reads it. Whoever writes
// to one stream after the other by turns and calls it in between has the two
// handed on in that order. Only Linux can tell; elsewhere it does not wait.
func Drained(fd int) {
	if !ordered.Load() {
		return
	}
	var until time.Time
	for i := 0; unread(fd) > 0; i++ {
		switch {
		case i < 20:
			runtime.Gosched()
			continue
		case until.IsZero():
			until = time.Now().Add(drainTime)
		case time.Now().After(until):
			return
		}
		time.Sleep(20 * time.Microsecond)
	}
}
