package vm

import (
	"sort"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// Sorting calls one closure millions of times. Here that happens on one
// thread, made ready once, instead of through a func value of compiled code.

func init() {
	natives["sort.Slice"] = func(t *Thread, w Window) {
		t.withLess(w.Pointer(1), func(less func(i, j int) bool) { sort.Slice(w.Value(0).Interface(), less) })
	}
	natives["sort.SliceStable"] = func(t *Thread, w Window) {
		t.withLess(w.Pointer(1), func(less func(i, j int) bool) { sort.SliceStable(w.Value(0).Interface(), less) })
	}
}

// withLess calls f with a compiled form of a func(i, j int) bool.
func (t *Thread) withLess(fv unsafe.Pointer, f func(func(i, j int) bool)) {
	impl, ok := rtype.FuncImpl(fv)
	cl := (*Closure)(impl)
	if !ok || cl.call != nil {
		f(*(*func(i, j int) bool)(unsafe.Pointer(&fv)))
		return
	}
	c := cl.fn.code.Load()
	if c == nil {
		if c = t.m.codeOf(cl.fn); c == nil {
			f(*(*func(i, j int) bool)(unsafe.Pointer(&fv)))
			return
		}
	}
	t.m.runs.born()
	defer t.m.runs.gone()
	u := t.m.newThread(t.run)
	u.stop = t.stop
	u.reserveWindow(cl.fn.sig)
	f(func(i, j int) bool {
		s, _ := u.window()
		*si(s, 8), *si(s, 16) = int64(i), int64(j)
		u.enter(c)
		u.bindFree(cl, c)
		u.execute()
		if u.dead != nil {
			t.m.passOn(u.dead)
		}
		s, _ = u.window()
		return *su(s, 0) != 0
	})
	u.release()
}
