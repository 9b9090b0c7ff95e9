package machine

import (
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

// deferred is a call that waits for the end of its function: what it calls,
// and the window with its arguments.
type deferred struct {
	next *deferred
	site *site
	kind opcode // opCall, opCallNat, opCallFn, opInvoke, opExt
	// room is how many slots of each kind the call uses of its window behind
	// those of s and p: for a receiver, or scratch.
	room int32
	fv   unsafe.Pointer
	tab  unsafe.Pointer // of an interface call, fv is the data word
	s    []uint64
	p    []unsafe.Pointer
	ext  ext // for builtins: runs on a window with the arguments
}

// runDefer starts the next deferred call of the topmost frame. Its return
// goes to t.pc.
func (t *Thread) runDefer() {
	fr := &t.frames[t.top]
	d := fr.defers
	fr.defers = d.next
	t.startDeferred(d)
}

// startDeferred begins a deferred call. It returns true when an interpreted
// function was entered, false when a compiled one has run already.
func (t *Thread) startDeferred(d *deferred) bool {
	fr := &t.frames[t.top]
	roomS, roomP := uintptr(len(d.s)+int(d.room))*8, uintptr(len(d.p)+int(d.room))*8
	if uintptr(fr.s)+fr.code.needS+roomS > t.endS || uintptr(fr.p)+fr.code.needP+roomP > t.endP {
		t.grow(&code{needS: roomS, needP: roomP})
		fr = &t.frames[t.top]
	}
	ns, np := unsafe.Add(fr.s, fr.code.sizeS), unsafe.Add(fr.p, fr.code.sizeP)
	copy(unsafe.Slice((*uint64)(ns), len(d.s)), d.s)
	copy(unsafe.Slice((*unsafe.Pointer)(np), len(d.p)), d.p)
	callee, native := t.resolveDeferred(d, ns, np)
	if native != nil {
		native(t, ns, np)
		return false
	}
	t.push(callee)
	if d.kind == opCallFn {
		t.bindFree(deferredClosure(d), callee)
	}
	return true
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

// deferStmt keeps a call for later.
func (g *gen) deferStmt(in *ssa.Defer) {
	make := g.captureCall(&in.Call)
	stack := int32(-1)
	if in.DeferStack != nil {
		stack = g.pOf(in.DeferStack)
	}
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		fr := &t.frames[t.top]
		if stack >= 0 {
			fr = t.deferFrame(*pp(p, stack))
		}
		d := make(t, s, p)
		d.next = fr.defers
		fr.defers = d
	})
}

// deferStack names the topmost frame for defer statements inside the body of
// a range-over-func loop.
type deferStack struct {
	t     *Thread
	depth int
}

func (t *Thread) deferFrame(stack unsafe.Pointer) *frame {
	ds := (*deferStack)(stack)
	if ds.depth > ds.t.top {
		panic(runtimeError("defer in a loop body whose function has returned"))
	}
	return &ds.t.frames[ds.depth]
}
