package vm

// Owned is what a run has left running.
type Owned struct {
	Run *Run
	// Goroutines are those of its cell that still live.
	Goroutines int
	// Timers are calls of its functions that are due later.
	Timers int
}

// Owned lists the runs that have ended and of which something still runs.
func (m *Machine) Owned() []Owned {
	counts := map[*Run]*Owned{}
	of := func(r *Run) *Owned {
		if counts[r] == nil {
			counts[r] = &Owned{Run: r}
		}
		return counts[r]
	}
	m.runs.goroutines.Range(func(_, r any) bool {
		if run := r.(*Run); !run.guest && run != m.runs.current.Load() {
			of(run).Goroutines++
		}
		return true
	})
	m.runs.timers.mu.Lock()
	for p, o := range m.runs.timers.all {
		if !*o.done && p.Value() != nil && o.run != m.runs.current.Load() {
			of(o.run).Timers++
		}
	}
	m.runs.timers.mu.Unlock()
	var list []Owned
	for _, o := range counts {
		list = append(list, *o)
	}
	return list
}

// Release stops what ended runs have left running: their goroutines at their
// next loop, call or wait, and calls that are due later. Calls by goroutines
// that compiled code has started fail until the next run begins.
func (m *Machine) Release() {
	m.runs.timers.mu.Lock()
	for p, o := range m.runs.timers.all {
		if timer := p.Value(); timer != nil && o.run != m.runs.current.Load() {
			timer.Stop()
			delete(m.runs.timers.all, p)
		}
	}
	m.runs.timers.mu.Unlock()
	m.runs.background.Load().Interrupt()
	m.runs.spawning.Range(func(r, _ any) bool {
		r.(*Run).Interrupt()
		m.runs.spawning.Delete(r)
		return true
	})
	for _, o := range m.Owned() {
		o.Run.Interrupt()
	}
}

// GiveUp abandons what Release has not stopped.
func (m *Machine) GiveUp() {
	m.runs.background.Load().Abandon()
	for _, o := range m.Owned() {
		o.Run.Abandon()
	}
}

// LateOutput sets what takes the text that code of cells has written to
// "stdout" or "stderr" after the end of its run, for it to be shown with its
// cell.
func (m *Machine) LateOutput(f func(run *Run, stream, text string)) {
	m.runs.lateOutput.Store(&f)
	takeOverLog()
}
