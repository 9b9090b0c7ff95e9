package vm

import (
	"fmt"
	"testing"
)

// The watch is run beside small programs of goroutines, and which of them
// takes its next step is decided by the test: at each point where another can
// come between (waits.at), all continuations with a few switches are tried.
// The goroutines' waiting is a model; the counting and the watch are real.

// model is one program under one schedule.
type model struct {
	w       *waits
	actors  []*actor
	running *actor
	told    bool // a deadlock was declared
	wrong   string
	// switches are the steps before which another actor takes over, and by
	// how many places.
	switches map[int]int
	steps    int
	yield    chan struct{} // to the scheduler
}

type actor struct {
	name    string
	resume  chan struct{}
	started bool
	watch   bool
	waiting bool // at the mercy of another
	done    bool
	polls   bool        // tries again and again
	token   func() bool // what it waits for
}

// ready reports whether an actor can take a step.
func (a *actor) ready() bool { return !a.done && (!a.waiting || a.token()) }

// program is a set of goroutines that use the model's channels.
type program struct {
	name string
	main func(m *model)
	dead bool // every schedule ends in a deadlock
}

func (m *model) at() {
	a := m.running
	m.steps++
	m.yield <- struct{}{}
	<-a.resume
}

// spawn starts an actor. A goroutine of a cell was counted before.
func (m *model) spawn(name string, watch bool, f func()) *actor {
	a := &actor{name: name, resume: make(chan struct{}), watch: watch}
	m.actors = append(m.actors, a)
	go func() {
		<-a.resume
		a.started = true
		f()
		a.done = true
		m.yield <- struct{}{}
	}()
	return a
}

// goStmt is a go statement of a cell.
func (m *model) goStmt(name string, f func()) {
	m.w.born()
	m.at()
	m.spawn(name, false, func() { f(); m.w.gone() })
}

// box is a channel with room.
type box struct{ n, room int }

func (m *model) receive(b *box) {
	m.at()
	if b.n == 0 {
		m.w.begin()
		m.wait(func() bool { return b.n > 0 })
		b.n--
		m.w.end()
		return
	}
	b.n--
}

func (m *model) send(b *box) {
	m.at()
	if b.n >= b.room {
		m.w.begin()
		m.wait(func() bool { return b.n < b.room })
		b.n++
		m.w.end()
		return
	}
	b.n++
}

// wait parks the running actor until the token is there.
func (m *model) wait(token func() bool) {
	a := m.running
	a.waiting, a.token = true, token
	m.at()
	a.waiting = false
}

// lock polls, as locks are taken by cells.
func (m *model) lock(held *bool) {
	m.at()
	if !*held {
		*held = true
		return
	}
	m.w.begin()
	p := new(poll)
	m.w.polls.Store(p, nil)
	a := m.running
	a.polls = true
	for !m.w.try(p, func() bool {
		if *held {
			return false
		}
		*held = true
		return true
	}) {
		if m.told {
			break
		}
		// Trying again makes no difference before the lock is free; it is
		// one more step all the same.
		a.waiting, a.token = true, func() bool { return !*held || m.told || p.failed != m.w.epoch }
		m.at()
		a.waiting = false
	}
	a.polls = false
	m.w.polls.Delete(p)
	m.w.end()
}

// stuck reports whether no goroutine of the cell can ever go on.
func (m *model) stuck() bool {
	alive := false
	for _, a := range m.actors {
		if a.watch || a.done {
			continue
		}
		alive = true
		if a.ready() {
			return false
		}
	}
	return alive
}

// play runs a program under a schedule and returns the number of steps it
// took and what went wrong.
func play(p program, switches map[int]int) (steps int, wrong string) {
	m := &model{w: new(waits), switches: switches, yield: make(chan struct{})}
	m.w.stuck = func() func() {
		if m.told {
			return nil
		}
		return func() {
			if !m.stuck() {
				m.wrong = "a deadlock was declared and somebody could go on"
			}
			m.told = true
		}
	}
	m.w.pause = func() { m.at() }
	m.w.at = m.at
	m.w.start = func(watch func()) { m.spawn("watch", true, watch) }
	// The picture shows who could run, but not those that have not begun, and
	// tells nothing of those that poll.
	m.w.moves = func() bool {
		for _, a := range m.actors {
			if !a.watch && a.started && !a.polls && a.ready() {
				return true
			}
		}
		return false
	}
	m.w.live = 1
	m.spawn("main", false, func() { p.main(m); m.w.gone() })
	at := 0
	idle := 0
	for {
		ready := []*actor{}
		for i := range m.actors {
			if a := m.actors[(at+i)%len(m.actors)]; a.ready() {
				ready = append(ready, a)
			}
		}
		if len(ready) == 0 || m.told || m.wrong != "" {
			break
		}
		next := ready[0]
		if by, ok := m.switches[m.steps]; ok {
			next = ready[by%len(ready)]
		}
		// A watch alone at the end may look again and again.
		if next.watch && len(ready) > 1 && idle > 3*stillLooks {
			next, idle = ready[1], 0
		}
		if next.watch {
			idle++
		}
		if m.steps > 5000 {
			return m.steps, "it never ends"
		}
		for i, a := range m.actors {
			if a == next {
				at = i
			}
		}
		m.running = next
		next.resume <- struct{}{}
		<-m.yield
	}
	switch {
	case m.wrong != "":
		return m.steps, m.wrong
	case m.stuck() && !m.told:
		return m.steps, "a deadlock was not found"
	case p.dead && !m.told:
		return m.steps, "ended without the deadlock it must have"
	case !p.dead && m.told && !m.stuck():
		return m.steps, "a deadlock was declared in a program that ends"
	}
	return m.steps, ""
}

func watchPrograms() []program {
	return []program{
		{"spawn and receive", func(m *model) {
			for range 2 {
				c := &box{room: 1}
				m.goStmt("g", func() { m.send(c) })
				m.receive(c)
			}
		}, false},
		{"two to wait for", func(m *model) {
			c := &box{room: 1}
			m.goStmt("a", func() { m.send(c) })
			m.goStmt("b", func() { m.send(c) })
			m.receive(c)
			m.receive(c)
		}, false},
		{"hand over", func(m *model) {
			c, d := &box{room: 1}, &box{room: 1}
			m.goStmt("a", func() { m.receive(c); m.send(d) })
			m.send(c)
			m.receive(d)
		}, false},
		{"lock, unlock and wait", func(m *model) {
			held, c := true, &box{room: 1}
			m.goStmt("a", func() { m.lock(&held); m.send(c) })
			m.at()
			held = false
			m.receive(c)
		}, false},
		{"lock and end", func(m *model) {
			held, c := true, &box{room: 1}
			m.goStmt("a", func() { m.at(); held = false })
			m.lock(&held)
			_ = c
		}, false},
		{"nobody sends", func(m *model) { m.receive(&box{room: 1}) }, true},
		{"the last one ends", func(m *model) {
			c := &box{room: 1}
			m.goStmt("a", func() { m.at() })
			m.receive(c)
		}, true},
		{"one too few", func(m *model) {
			c := &box{room: 1}
			m.goStmt("a", func() { m.send(c) })
			m.receive(c)
			m.receive(c)
		}, true},
		{"a lock for ever", func(m *model) {
			held := true
			m.goStmt("a", func() { m.receive(&box{room: 1}) })
			m.lock(&held)
		}, true},
	}
}

// No schedule with up to two switches (three in the long run) makes the watch
// declare a deadlock that is none, or miss one.
func TestWatchUnderAllSchedules(t *testing.T) {
	for _, p := range watchPrograms() {
		steps, wrong := play(p, nil)
		if wrong != "" {
			t.Errorf("%s: %s", p.name, wrong)
			continue
		}
		runs := 0
		try := func(switches map[int]int) int {
			runs++
			n, wrong := play(p, switches)
			if wrong != "" {
				t.Errorf("%s: with switches %v: %s", p.name, switches, wrong)
			}
			return n
		}
		longest := min(steps, 120)
		for i := range longest {
			for by := 1; by < 4; by++ {
				n := min(try(map[int]int{i: by}), 160)
				for j := i + 1; j < n && !testing.Short(); j++ {
					for to := 1; to < 4 && !t.Failed(); to++ {
						try(map[int]int{i: by, j: to})
					}
				}
			}
			if t.Failed() {
				break
			}
		}
		t.Log(fmt.Sprintf("%s: %d schedules of about %d steps", p.name, runs, steps))
	}
}
