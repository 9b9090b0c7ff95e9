package vm

import (
	"go/token"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// panicking is a panic, or a Goexit, on its way through the frames.
type panicking struct {
	value     any
	exit      bool // runtime.Goexit
	recovered bool
	// frame is the index of the frame whose deferred calls run because of
	// it; these calls are at frame+1.
	frame int
	trace []Place
	// fatal panics cannot be recovered: interrupts, exits.
	fatal bool
	run   *Run
}

// Place is a place in a running function.
type Place struct {
	Function string
	Pos      token.Pos
	// Left counts the calls between the place before and this one that are
	// left out of the list.
	Left int
}

// The values below end a thread and cannot be recovered by the cell.

// interruptedPanic: the run was stopped.
type interruptedPanic struct{}

// stackOverflow: calls nested too deeply.
type stackOverflow struct{}

// ExitPanic is a call of os.Exit.
type ExitPanic struct{ Code int }

// outOfMemory is an allocation beyond the limit or, with total, more memory
// in all than the process may take.
type outOfMemory struct {
	want, limit uint64
	total       bool
}

// deadlocked: nobody can ever wake the run's main goroutine.
type deadlocked struct{ what string }

// goexitPanic is a call of runtime.Goexit.
type goexitPanic struct{}

func isFatal(v any) bool {
	switch v.(type) {
	case interruptedPanic, stackOverflow, ExitPanic, outOfMemory, deadlocked, *buildError:
		return true
	}
	return false
}

// raise begins a panic where the thread is.
func (t *Thread) raise(v any) {
	if t.locked != nil {
		t.unlockMap(t.locked)
	}
	p := &panicking{value: v, frame: -1, fatal: isFatal(v), run: t.run}
	if p.fatal { // deferred calls still run, until the run is abandoned
		t.stop = &t.run.kill
	}
	if _, ok := v.(goexitPanic); ok {
		p.exit = true
	}
	p.trace = t.trace()
	if q := t.m.passing.Swap(nil); q != nil && q.run == t.run && sameWords(q.value, v) {
		p.trace = append(q.trace[:len(q.trace):len(q.trace)], p.trace...)
	}
	t.panics = append(t.panics, p)
}

// sameWords reports whether two values are one and the same.
func sameWords(a, b any) bool { return *abi.WordsOf(&a) == *abi.WordsOf(&b) }

// trace lists the calls in progress, innermost first. Of very many, those in
// the middle are left out.
func (t *Thread) trace() []Place { return places(t.frames[:t.top+1], t.pc) }

// seen is trace for a thread that may be running. In a step that takes long it
// is true: the step has saved its place first.
//
//go:norace
func (t *Thread) seen() []Place { return places(t.calls(), t.pc) }

// places is trace for calls that may go on meanwhile: where the list is wrong
// by then, it has a place less.
//
//go:norace
func places(frames []frame, pc unsafe.Pointer) []Place {
	const inner, outer = 48, 16
	var out []Place
	left, top := 0, len(frames)-1
	for i := top; i > 0; i-- {
		if top-i == inner && i > outer {
			left = i - outer
			i = outer
			pc = frames[i+1].ret
		}
		fr := frames[i]
		if fr.code != nil && fr.code.name != "" {
			out = append(out, Place{Function: fr.code.name, Pos: fr.code.posAt(pc), Left: left})
			left = 0
		}
		pc = fr.ret
	}
	return out
}

// posAt returns the position of the instruction before pc.
func (c *code) posAt(pc unsafe.Pointer) token.Pos {
	i := (int(uintptr(pc)-uintptr(c.start)) / int(instrSize)) - 1
	if i == -1 { // an interrupt before the first instruction
		i = 0
	}
	if i < 0 || i >= len(c.pos) {
		return token.NoPos
	}
	return c.pos[i]
}

// unwind goes on with the topmost panic: it starts the next deferred call or
// drops frames until one has any. It returns true when the thread is dead.
func (t *Thread) unwind() bool {
	for {
		p := t.panics[len(t.panics)-1]
		fr := &t.frames[t.top]
		d := fr.defers
		if d != nil && !(p.fatal && !p.exit && t.stopping(p)) {
			fr.defers = d.next
			p.frame = t.top
			t.pc = unsafe.Pointer(&unwindIns[0])
			if t.startDeferred(d) {
				return false
			}
			if t.unwound() {
				return false
			}
			continue
		}
		if t.top <= 1 {
			t.dead = p
			t.top = 0
			return true
		}
		t.pc = fr.ret
		t.top--
		t.dropAborted()
	}
}

// stopping reports whether deferred calls are to be left out: those of an
// interrupted run would be interrupted at once again.
func (t *Thread) stopping(p *panicking) bool {
	_, exit := p.value.(ExitPanic)
	return exit
}

// dropAborted forgets panics whose deferred calls have been left by a newer
// panic.
func (t *Thread) dropAborted() {
	last := len(t.panics) - 1
	keep := t.panics[:0]
	for i, q := range t.panics {
		if i != last && q.frame >= t.top {
			continue
		}
		keep = append(keep, q)
	}
	t.panics = keep
}

// unwound looks at the panic after one of its deferred calls has returned: if
// it was recovered, the function goes on to its end.
func (t *Thread) unwound() bool {
	p := t.panics[len(t.panics)-1]
	if !p.recovered {
		return false
	}
	t.panics = t.panics[:len(t.panics)-1]
	fr := &t.frames[t.top]
	t.pc = fr.code.recoverAt
	return true
}

// unwindOn is called when a deferred call of a panicking function returns.
func (t *Thread) unwindOn() bool {
	if t.unwound() {
		return false
	}
	return t.unwind()
}

// recover_ is the builtin recover, called by the topmost frame.
func (t *Thread) recover() any {
	if len(t.panics) == 0 {
		return nil
	}
	p := t.panics[len(t.panics)-1]
	if p.recovered || p.exit || p.fatal {
		return nil
	}
	if t.top != p.frame+1 && !(t.top == p.frame+2 && t.frames[p.frame+1].code.wrapper) {
		return nil
	}
	p.recovered = true
	return p.value
}
