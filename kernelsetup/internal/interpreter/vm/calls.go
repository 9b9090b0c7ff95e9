package vm

import (
	"sync/atomic"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// callSlowly calls a function whose code is not there yet, or for which the
// stack has to grow, or while the run is being stopped.
func (t *Thread) callSlowly(f *Func, s, p unsafe.Pointer) {
	if c := t.codeFor(f, s, p); c != nil {
		t.push(c)
	}
}

// codeFor returns the code of f; nil when f is compiled and has run.
func (t *Thread) codeFor(f *Func, s, p unsafe.Pointer) *code {
	if atomic.LoadUint32(t.stop) != 0 {
		t.interrupted()
	}
	c := f.code.Load()
	if c != nil {
		return c
	}
	if c = t.m.codeOf(f); c == nil {
		f.final().native(t, s, p)
	}
	return c
}

// callFunc calls a func value.
func (t *Thread) callFunc(st *site, fv, s, p unsafe.Pointer) {
	if fv == nil {
		failNil()
	}
	impl, ok := rtype.FuncImpl(fv)
	if !ok {
		t.m.callCompiled(t, st, fv, s, p)
		return
	}
	cl := (*Closure)(impl)
	if cl.call != nil {
		cl.call(t, s, p)
		return
	}
	c := t.codeFor(cl.fn, s, p)
	if c == nil {
		return
	}
	t.push(c)
	t.bindFree(cl, c)
}

// bindFree gives the topmost frame its free variables.
func (t *Thread) bindFree(cl *Closure, c *code) {
	fr := &t.frames[t.top]
	for i, x := range cl.s {
		*(*uint64)(unsafe.Add(fr.s, c.freeS+uintptr(i)*8)) = x
	}
	for i, x := range cl.p {
		*(*unsafe.Pointer)(unsafe.Add(fr.p, c.freeP+uintptr(i)*8)) = x
	}
}

// invoke calls a method of an interface's dynamic type.
func (t *Thread) invoke(st *site, tab, data, s, p unsafe.Pointer) {
	if tab == nil {
		failNil()
	}
	typ := abi.ItabType(tab)
	cache := st.cache.Load()
	if cache == nil || cache.typ != typ {
		cache = t.m.findMethod(st, typ)
	}
	if cache.call != nil {
		t.recv = data
		cache.call(t, s, p)
		return
	}
	c := t.codeFor(cache.fn, s, p)
	t.push(c)
	fr := &t.frames[t.top]
	if cache.direct {
		*(*unsafe.Pointer)(unsafe.Add(fr.p, cache.recvP)) = data
	} else {
		t.m.loadWord(cache.recv, data, unsafe.Add(fr.s, cache.recvS), unsafe.Add(fr.p, cache.recvP))
	}
}

func copyBox(word, from unsafe.Pointer) unsafe.Pointer {
	box := abi.UnsafeNew(word)
	abi.Typedmemmove(word, box, from)
	return box
}

// The functions below set a slot to what a call returns. In the loop, the slots
// would have to be remembered over the call, and the compiler would save where
// they are before each instruction, whichever it is.

//go:noinline
func storeCopy(at *unsafe.Pointer, word, from unsafe.Pointer) { *at = copyBox(word, from) }

//go:noinline
func storeNew(at *unsafe.Pointer, word unsafe.Pointer) { *at = abi.UnsafeNew(word) }

//go:noinline
func storeEqual(at *uint64, x, y string) { *at = b2u(x == y) }

//go:noinline
func storeUnequal(at *uint64, x, y string) { *at = b2u(x != y) }
