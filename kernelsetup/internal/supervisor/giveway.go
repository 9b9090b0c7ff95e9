package supervisor

import (
	"sync"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/leftover"
)

const (
	// shareStep is how often the processor time of a kernel that shares the
	// machine is looked at.
	shareStep = time.Second
	// A process that has taken more than wayTaken within wayTime gives way to
	// those of others: the longest notebook of the course takes less, and who
	// gets less than that part of a processor beside others can't slow them by
	// much.
	wayTaken, wayTime = 6 * time.Second, 30 * time.Second
	// It returns when it has wanted a processor at most once in the last
	// restSteps looks. What it is given then says nothing: that depends on the
	// others.
	restSteps = 8
)

// watchShare has the process give way while it takes much processor time, be it
// for a long cell or for what cells left running: those who take little come
// first, and nobody waits for an endless loop of somebody else.
func (c *child) watchShare() {
	step := time.NewTicker(shareStep)
	defer step.Stop()
	var u usage
	normal, ever := niceOf(c.cmd.Process.Pid), false
	for {
		select {
		case <-c.exited:
			return
		case now := <-step.C:
			pid := c.cmd.Process.Pid
			taken, ok := leftover.TimeOf(pid)
			if !ok {
				return // it can't be told on this system
			}
			u.add(now, taken, wantsProcessor(pid))
			// At every step: threads may be new, and a change may be refused.
			if u.aside {
				ever = true
				c.s.session.giveWay()
				setNice(pid, max(normal, asideNice))
				continue
			}
			c.s.session.comeBack()
			if ever {
				setNice(pid, normal)
			}
		}
	}
}

// asideNice is the nice value of a process that gives way: about a ninth of the
// processor time of another that wants it, too (sched(7): a factor of about 1.25
// a step).
const asideNice = 10

// session is the session of a supervisor and its processes. Where the system
// shares out by sessions, the number of the whole session counts, and that of a
// process only within (sched(7), autogroup). It outlives a process that gave way,
// so it is set back for the next one, and for whoever else is in the session.
type session struct {
	pid int // a process of it

	mu    sync.Mutex
	aside bool
	usual int // its nice value before
}

func (s *session) giveWay() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.aside {
		if s.usual, s.aside = sessionNice(s.pid); !s.aside {
			return // the system does not share out by sessions
		}
	}
	setSessionNice(s.pid, max(s.usual, asideNice))
}

// comeBack sets back what giveWay has changed. A change may be refused; then the
// next call tries again.
func (s *session) comeBack() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.aside {
		return
	}
	setSessionNice(s.pid, s.usual)
	now, ok := sessionNice(s.pid)
	s.aside = ok && now != s.usual
}

// usage decides from the processor time of a process whether it gives way.
type usage struct {
	at     []time.Time
	taken  []time.Duration
	wanted []bool
	aside  bool
}

// add counts the processor time that a process has taken so far, at an instant,
// and whether it wants more.
func (u *usage) add(now time.Time, taken time.Duration, wants bool) {
	u.at, u.taken, u.wanted = append(u.at, now), append(u.taken, taken), append(u.wanted, wants)
	for len(u.at) > 1 && now.Sub(u.at[0]) > wayTime {
		u.at, u.taken = u.at[1:], u.taken[1:]
	}
	if n := len(u.wanted) - restSteps; n > 0 {
		u.wanted = u.wanted[n:]
	}
	wanted := 0
	for _, w := range u.wanted {
		if w {
			wanted++
		}
	}
	switch {
	case u.aside && wanted <= 1 && len(u.wanted) == restSteps:
		*u = usage{at: []time.Time{now}, taken: []time.Duration{taken}} // it begins anew
	case taken-u.taken[0] > wayTaken:
		u.aside = true
	}
}
