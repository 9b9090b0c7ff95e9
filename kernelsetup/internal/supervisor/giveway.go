package supervisor

import (
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/leftover"
)

const (
	// shareTime is the span over which the processor time of a kernel that
	// shares the machine is counted, in shareSteps steps.
	shareTime  = 8 * time.Second
	shareSteps = 8
	// wayTaken is how much of a processor, on average over that span, has the
	// process give way to those of others. It returns when it has wanted one in
	// at most wayWanted of the steps: what it gets then depends on the others.
	wayTaken, wayWanted = 0.6, 1
)

// watchShare has the process give way while it takes much processor time, be it
// for a long cell or for what cells left running: those who take little come
// first, and nobody waits for an endless loop of somebody else.
func (c *child) watchShare() {
	step := time.NewTicker(shareTime / shareSteps)
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
			switch ever = ever || u.aside; {
			case u.aside:
				setNice(pid, max(normal, asideNice))
			case ever:
				setNice(pid, normal)
			}
		}
	}
}

// asideNice is the nice value of a process that gives way: about a ninth of the
// processor time of another that wants it, too (sched(7): a factor of about 1.25
// a step).
const asideNice = 10

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
	if n := len(u.at) - 1 - shareSteps; n > 0 {
		u.at, u.taken, u.wanted = u.at[n:], u.taken[n:], u.wanted[n:]
	}
	wanted := 0
	for _, w := range u.wanted {
		if w {
			wanted++
		}
	}
	// As if it had rested before it was looked at.
	part := float64(taken-u.taken[0]) / float64(max(shareTime, now.Sub(u.at[0])))
	switch {
	case part > wayTaken:
		u.aside = true
	case wanted <= wayWanted:
		u.aside = false
	}
}
