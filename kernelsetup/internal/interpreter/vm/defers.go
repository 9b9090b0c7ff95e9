package vm

import (
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
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

// resolveDeferred finds what a deferred call runs: code, or something
// compiled.
func (t *Thread) resolveDeferred(d *deferred, ns, np unsafe.Pointer) (*code, ext) {
	switch d.kind {
	case opExt:
		return nil, d.ext
	case opCallFn:
		return t.resolveFuncValue(d)
	case opInvoke:
		typ := abi.ItabType(d.tab)
		cache := d.site.cache.Load()
		if cache == nil || cache.typ != typ {
			cache = t.m.findMethod(d.site, typ)
		}
		if cache.call != nil {
			data := d.fv
			return nil, func(t *Thread, s, p unsafe.Pointer) {
				t.recv = data
				cache.call(t, s, p)
			}
		}
		t.m.loadWord(cache.recv, d.fv, unsafe.Add(ns, cache.recvS), unsafe.Add(np, cache.recvP))
		return t.m.codeOf(cache.fn), nil
	}
	if c := t.m.codeOf(d.site.fn); c != nil {
		return c, nil
	}
	return nil, d.site.fn.final().native
}

func (t *Thread) resolveFuncValue(d *deferred) (*code, ext) {
	if d.fv == nil {
		failNil()
	}
	impl, ok := rtype.FuncImpl(d.fv)
	if !ok {
		return nil, func(t *Thread, s, p unsafe.Pointer) { t.m.callCompiled(t, d.site, d.fv, s, p) }
	}
	cl := (*Closure)(impl)
	if cl.call != nil {
		return nil, cl.call
	}
	if c := t.m.codeOf(cl.fn); c != nil {
		return c, nil
	}
	return nil, cl.fn.final().native
}

func deferredClosure(d *deferred) *Closure {
	impl, _ := rtype.FuncImpl(d.fv)
	return (*Closure)(impl)
}
