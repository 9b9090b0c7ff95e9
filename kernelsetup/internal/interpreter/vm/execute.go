package vm

// execute runs until the first function has returned or the thread is dead.
func (t *Thread) execute() {
	for !t.guarded() {
	}
}

func (t *Thread) guarded() (done bool) {
	defer func() {
		if done {
			return
		}
		r := recover()
		if r == nil {
			t.goexit()
			return
		}
		t.raise(r)
		t.dropAborted()
		t.unwinding = true
	}()
	if t.unwinding {
		t.unwinding = false
		if t.unwind() {
			return true
		}
	}
	t.loop()
	return true
}

// goexit runs the deferred calls of a goroutine that compiled code ends, and
// lets the Goexit go on.
func (t *Thread) goexit() {
	t.raise(goexitPanic{})
	if !t.unwind() {
		t.execute()
	}
}
