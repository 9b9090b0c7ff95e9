package vm

// interrupted is called by a thread that has seen its stop flag.
func (t *Thread) interrupted() {
	// Deferred calls still run, until the run is abandoned.
	t.stop = &t.run.kill
	panic(interruptedPanic{})
}

// wakeup returns the channel that is closed on an interrupt; nil once the
// thread has been interrupted.
func (t *Thread) wakeup() chan struct{} {
	if t.stop != &t.run.stop {
		return nil
	}
	return t.run.done
}

// block tells that the thread waits for another goroutine. The function it
// returns ends that.
func (t *Thread) block(what string) (unblock func()) {
	rs := &t.m.runs
	if t.shares {
		rs.waitsFor.Store(&what)
	} else {
		t.run.waitsFor.Store(&what)
	}
	rs.begin()
	return rs.end
}

// stuckChan is where a thread hears of a deadlock: only the main goroutine of
// the current run does, in the form of a closed channel.
func (t *Thread) stuckChan() chan struct{} { return t.run.stuck }

func (t *Thread) deadlock() {
	panic(deadlocked{t.run.stuckWhat})
}
