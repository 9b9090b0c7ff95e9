package vm

import (
	"sync"
	"unsafe"
)

// frame is one call in progress.
type frame struct {
	code   *code
	ret    unsafe.Pointer // where the caller goes on
	s, p   unsafe.Pointer // its slots
	defers *deferred
}

// Thread runs interpreted functions one after another, on stacks of its own:
// a goroutine of a cell, or one call that compiled code makes.
type Thread struct {
	m      *Machine
	run    *Run
	stop   *uint32
	frames []frame
	top    int
	s      []uint64
	p      []unsafe.Pointer
	endS   uintptr // address of the last scalar slot, which is not used
	endP   uintptr
	pc     unsafe.Pointer // the instruction after the one that runs
	recv   unsafe.Pointer // receiver's data word for siteCache.call
	panics []*panicking
	dead   *panicking // what ended the thread
	// unwinding: the topmost panic has not been dealt with yet.
	unwinding bool
	word      uint64         // scratch memory
	locked    unsafe.Pointer // the map whose lock is held
	// shares tells that the thread runs on another goroutine than a cell's
	// main one: it always locks maps, for a new cell may begin meanwhile.
	shares bool
	// outermost: a call by compiled code on a goroutine of its own, below
	// which nothing recovers.
	outermost bool
}

const (
	firstSlots  = 256
	firstFrames = 16
	// maxSlots bounds one thread's stack: 128 MB for each kind of slot.
	maxSlots = 1 << 24
)

// exitCode is what the first function of a thread returns to.
var exitCode = newExitCode()

// unwindIns is where a call deferred by a panicking function returns to.
var unwindIns = [...]instr{{op: opUnwind}, {op: opEnd}}

func newExitCode() *code {
	c := &code{ins: []instr{{op: opExit}, {op: opEnd}}, fn: &Func{}}
	c.start = unsafe.Pointer(&c.ins[0])
	return c
}

var threadPool = sync.Pool{New: func() any {
	t := &Thread{
		frames: make([]frame, firstFrames),
		s:      make([]uint64, firstSlots),
		p:      make([]unsafe.Pointer, firstSlots),
	}
	t.setEnds()
	return t
}}

// newThread returns a thread with nothing to do yet. Its first function's
// window is at its first slots.
func (m *Machine) newThread(r *Run) *Thread {
	t := m.spare.Swap(nil)
	if t == nil {
		t = threadPool.Get().(*Thread)
	}
	t.m, t.run, t.stop = m, r, &r.stop
	t.top = 0
	t.frames[0] = frame{code: exitCode, s: unsafe.Pointer(&t.s[0]), p: unsafe.Pointer(&t.p[0])}
	t.panics, t.dead, t.unwinding = t.panics[:0], nil, false
	t.recv, t.shares, t.outermost = nil, false, false
	return t
}

// release gives a thread back.
func (t *Thread) release() {
	if len(t.p) > 64*firstSlots || t.dead != nil {
		return
	}
	t.panics = t.panics[:0]
	if !t.m.spare.CompareAndSwap(nil, t) {
		t.wipe()
		threadPool.Put(t)
	}
}

// wipe clears a thread's pointers, so that nothing of a finished cell stays
// alive.
func (t *Thread) wipe() {
	clear(t.p)
	clear(t.frames)
	t.recv, t.run, t.pc = nil, nil, nil
}

// Tidy lets go of what finished threads still point to.
func (m *Machine) Tidy() {
	if t := m.spare.Swap(nil); t != nil {
		t.wipe()
		threadPool.Put(t)
	}
}

// setEnds leaves the last slots unused: a window without slots, and the place
// after a value's last slot, may be where the slots end, and must not be where
// another object begins.
func (t *Thread) setEnds() {
	t.endS = uintptr(unsafe.Pointer(&t.s[0])) + uintptr(len(t.s)-1)*8
	t.endP = uintptr(unsafe.Pointer(&t.p[0])) + uintptr(len(t.p)-1)*8
}

// grow makes room for a call to callee.
func (t *Thread) grow(callee *code) {
	fr := &t.frames[t.top]
	if t.top+1 >= len(t.frames) {
		if t.top >= t.run.depth() {
			panic(stackOverflow{})
		}
		frames := make([]frame, 2*len(t.frames))
		copy(frames, t.frames)
		t.frames = frames
		fr = &t.frames[t.top]
	}
	usedS := uintptr(fr.s) - uintptr(unsafe.Pointer(&t.s[0])) + fr.code.needS + callee.needS
	usedP := uintptr(fr.p) - uintptr(unsafe.Pointer(&t.p[0])) + fr.code.needP + callee.needP
	if usedS/8 > maxSlots || usedP/8 > maxSlots {
		panic(stackOverflow{})
	}
	if usedS >= uintptr(len(t.s)-1)*8 {
		s := make([]uint64, max(2*len(t.s), int(usedS/8)+firstSlots))
		copy(s, t.s)
		for i := range t.frames[:t.top+1] {
			f := &t.frames[i]
			f.s = unsafe.Add(unsafe.Pointer(&s[0]), uintptr(f.s)-uintptr(unsafe.Pointer(&t.s[0])))
		}
		t.s = s
	}
	if usedP >= uintptr(len(t.p)-1)*8 {
		p := make([]unsafe.Pointer, max(2*len(t.p), int(usedP/8)+firstSlots))
		copy(p, t.p)
		for i := range t.frames[:t.top+1] {
			f := &t.frames[i]
			f.p = unsafe.Add(unsafe.Pointer(&p[0]), uintptr(f.p)-uintptr(unsafe.Pointer(&t.p[0])))
		}
		t.p = p
	}
	t.setEnds()
}

// enter pushes the thread's first call. Its parameters must be in the window
// already.
func (t *Thread) enter(c *code) {
	fr := &t.frames[t.top]
	if uintptr(fr.s)+c.needS > t.endS || uintptr(fr.p)+c.needP > t.endP {
		t.grow(c)
		fr = &t.frames[t.top]
	}
	t.top++
	t.frames[t.top] = frame{code: c, ret: fr.code.start, s: fr.s, p: fr.p}
	t.pc = c.start
}

// window returns where the first function's results and parameters are.
func (t *Thread) window() (s, p unsafe.Pointer) {
	return t.frames[0].s, t.frames[0].p
}

// reserveWindow makes sure that a window of some size fits before the first
// call.
func (t *Thread) reserveWindow(sig *sigLayout) {
	if sig.endS+16 > len(t.s) || sig.endP+16 > len(t.p) {
		t.grow(&code{needS: uintptr(sig.endS+16) * 8, needP: uintptr(sig.endP+16) * 8})
	}
}

// push enters a function whose parameters are in the topmost frame's window;
// it returns to t.pc.
func (t *Thread) push(callee *code) {
	fr := &t.frames[t.top]
	if uintptr(fr.s)+fr.code.sizeS+callee.needS > t.endS || uintptr(fr.p)+fr.code.sizeP+callee.needP > t.endP || t.top+1 >= len(t.frames) {
		t.grow(callee)
		fr = &t.frames[t.top]
	}
	ns, np := unsafe.Add(fr.s, fr.code.sizeS), unsafe.Add(fr.p, fr.code.sizeP)
	t.top++
	t.frames[t.top] = frame{code: callee, ret: t.pc, s: ns, p: np}
	t.pc = callee.start
}
