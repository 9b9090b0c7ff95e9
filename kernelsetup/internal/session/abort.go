package session

import (
	"strings"
	"sync"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
)

// arrival is a request and when it came.
type arrival struct {
	*protocol.Message
	at time.Time
}

// stopping knows which requests to run a cell came too late: those that were
// sent before their sender could know that an earlier cell had failed. What
// was sent later is the user's next wish and runs.
//
// That a request waited here when the error's reply left is seen by its
// arrival, or, where it waited in its socket, by the socket's mark. One that
// was on its way is known by the sender's own time in its header; how far that
// clock is from ours is bounded by the requests before: none can have taken
// less than no time. Dates that tell milliseconds say nothing of the last one
// before the reply: see burstTime.
type stopping struct {
	mu    sync.Mutex
	ahead map[string]clock // by the sender's session
	at    time.Time        // when the last error's reply left; zero: no error
	from  string           // the session of the failed request
}

// clock is what is known of a sender's clock.
type clock struct {
	// late is the least time from the date in a request to its arrival here,
	// of those that came since.
	late  time.Duration
	since time.Time
}

const (
	// wayTime is how long a request may be on its way at most.
	wayTime = 2 * time.Second
	// clockTime is how long a bound on a sender's clock is believed: clocks
	// are set.
	clockTime = time.Minute
	// burstTime is how long a cell lasts at least that fails and whose sender's
	// dates are coarse: what is sent in one go with it has then another date, or
	// is here, before anything is said of the failure.
	burstTime = 10 * time.Millisecond
)

func newStopping() *stopping { return &stopping{ahead: map[string]clock{}} }

// came takes note of a request's arrival.
func (s *stopping) came(a arrival) {
	sent, _, ok := sentAt(a.Message)
	if !ok {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	late := a.at.Sub(sent)
	c, known := s.ahead[a.Header.Session]
	if !known || late < c.late || a.at.Sub(c.since) > clockTime {
		s.ahead[a.Header.Session] = clock{late, a.at}
	}
	if len(s.ahead) > 1000 {
		clear(s.ahead)
	}
}

// failed notes that the reply to a failed request leaves now.
func (s *stopping) failed(request *protocol.Message) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.at, s.from = time.Now(), request.Header.Session
}

// tooLate reports whether a request to run a cell was sent before its sender
// could know of the last error.
func (s *stopping) tooLate(a arrival) bool {
	if a.Marked() {
		return true
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.at.IsZero() {
		return false
	}
	if a.at.Before(s.at) {
		return true
	}
	if a.Header.Session != s.from {
		return false
	}
	sent, exact, ok := sentAt(a.Message)
	c, known := s.ahead[a.Header.Session]
	if ok && known && a.at.Sub(s.at) < wayTime && sent.Add(c.late+exact).Before(s.at) {
		return true
	}
	// Requests of one sender come in the order in which they were sent.
	s.at = time.Time{}
	return false
}

// coarse reports whether the date of a request tells milliseconds at the best.
func coarse(m *protocol.Message) bool {
	_, exact, ok := sentAt(m)
	return !ok || exact >= time.Millisecond
}

// sentAt reads the date in a request's header, and how exact it is.
func sentAt(m *protocol.Message) (t time.Time, exact time.Duration, ok bool) {
	t, err := time.Parse(time.RFC3339Nano, m.Header.Date)
	if err != nil {
		return t, 0, false
	}
	_, fraction, _ := strings.Cut(m.Header.Date, ".")
	exact = time.Second
	for _, c := range fraction {
		if c < '0' || c > '9' || exact == time.Nanosecond {
			break
		}
		exact /= 10
	}
	return t, exact, true
}
