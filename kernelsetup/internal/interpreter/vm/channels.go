package vm

import (
	"reflect"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// waitSend sends on a channel that is not ready.
func (t *Thread) waitSend(word, ch, mem unsafe.Pointer, l *layout) {
	defer t.block("chan send")()
	switch {
	case ch == nil:
	case isWord(l):
		waitSend[uint64](t, ch, mem)
		return
	case isPointer(l):
		waitSend[unsafe.Pointer](t, ch, mem)
		return
	case l.rt.Size() == 1 && !hasPointers(l.rt):
		waitSend[uint8](t, ch, mem)
		return
	}
	cases := t.waitCases(3)
	cases = append(cases, reflect.SelectCase{Dir: reflect.SelectSend, Chan: sendable(word, ch), Send: reflect.NewAt(l.rt, mem).Elem()})
	if i, _, _ := reflect.Select(cases); i < 2 {
		t.woken(i)
	}
}

// isWord and isPointer tell elements that can be waited for without
// reflection: the run time moves them by the channel's own type, and all that
// counts here is their size and whether the collector looks at them.
func isWord(l *layout) bool {
	return l.rt.Size() == 8 && len(l.comps) == 1 && l.comps[0].kind == mem64
}

func isPointer(l *layout) bool {
	return l.rt.Size() == 8 && len(l.comps) == 1 && l.comps[0].kind == memPtr
}

// waitReceive receives from a channel that is not ready.
func (t *Thread) waitReceive(word, ch, mem unsafe.Pointer, l *layout) (_ unsafe.Pointer, ok bool) {
	defer t.block("chan receive")()
	switch {
	case ch == nil:
	case isWord(l):
		return mem, waitReceive[uint64](t, ch, mem)
	case isPointer(l):
		return mem, waitReceive[unsafe.Pointer](t, ch, mem)
	case l.rt.Size() == 1 && !hasPointers(l.rt):
		return mem, waitReceive[uint8](t, ch, mem)
	}
	cases := t.waitCases(3)
	cases = append(cases, reflect.SelectCase{Dir: reflect.SelectRecv, Chan: sendable(word, ch)})
	i, v, ok := reflect.Select(cases)
	if i < 2 {
		t.woken(i)
	}
	return valueMemory(v), ok
}

// waitCases begins a select with what can wake every wait: an interrupt and
// the discovery of a deadlock.
func (t *Thread) waitCases(n int) []reflect.SelectCase {
	cases := make([]reflect.SelectCase, 0, n)
	cases = append(cases, reflect.SelectCase{Dir: reflect.SelectRecv, Chan: reflect.ValueOf(t.wakeup())})
	return append(cases, reflect.SelectCase{Dir: reflect.SelectRecv, Chan: reflect.ValueOf(t.stuckChan())})
}

func (t *Thread) woken(i int) {
	if i == 0 {
		t.interrupted()
	}
	t.deadlock()
}

// sendable and receivable return a channel as a reflect.Value that may be
// used in that direction.
func sendable(word, ch unsafe.Pointer) reflect.Value { return reflect.ValueOf(abi.Any(word, ch)) }

// valueMemory returns the address of a copy of v.
func valueMemory(v reflect.Value) unsafe.Pointer {
	p := reflect.New(v.Type())
	p.Elem().Set(v)
	return p.UnsafePointer()
}

func (t *Thread) closeChan(ch unsafe.Pointer) {
	if ch == nil {
		var c chan int
		close(c)
	}
	abi.Chanclose(ch)
}

// choose runs a select; the result counts from the first case of the cell.
func (t *Thread) choose(cases []reflect.SelectCase, blocking bool) (int, reflect.Value, bool) {
	ready := append(cases, reflect.SelectCase{Dir: reflect.SelectDefault})
	if blocking { // without waiting, if possible
		w0, w1 := ready[0].Chan, ready[1].Chan
		ready[0].Chan, ready[1].Chan = reflect.ValueOf((chan struct{})(nil)), reflect.ValueOf((chan struct{})(nil))
		if i, v, ok := reflect.Select(ready); i != len(ready)-1 {
			return i - 2, v, ok
		}
		cases[0].Chan, cases[1].Chan = w0, w1
	} else {
		i, v, ok := reflect.Select(ready)
		if i == len(ready)-1 {
			return -1, v, false
		}
		return i - 2, v, ok
	}
	what := "select"
	if len(cases) == 2 {
		what = "select (no cases)"
	}
	defer t.block(what)()
	i, v, ok := reflect.Select(cases)
	if i < 2 {
		t.woken(i)
	}
	return i - 2, v, ok
}

func waitSend[T any](t *Thread, ch, mem unsafe.Pointer) {
	select {
	case *(*chan T)(unsafe.Pointer(&ch)) <- *(*T)(mem):
	case <-t.wakeup():
		t.interrupted()
	case <-t.stuckChan():
		t.deadlock()
	}
}

func waitReceive[T any](t *Thread, ch, mem unsafe.Pointer) (ok bool) {
	select {
	case *(*T)(mem), ok = <-*(*chan T)(unsafe.Pointer(&ch)):
	case <-t.wakeup():
		t.interrupted()
	case <-t.stuckChan():
		t.deadlock()
	}
	return ok
}
