package machine

import (
	"go/types"
	"reflect"
	"unsafe"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

func (g *gen) makeChan(v *ssa.MakeChan) {
	word := g.m.typeWord(g.layout(v))
	n, d := g.sOf(v.Size), g.dst(v).p*8
	size := g.elemSize(g.m.layoutOf(elemType(v.Type())))
	m := g.m
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		k := *si(s, n)
		if k > 0 && uint64(k) <= maxAlloc/uint64(max(size, 1)) { // beyond, making it panics
			m.reserve(uint64(k) * uint64(size))
		}
		*pp(p, d) = abi.Makechan(word, int(k))
	})
}

func (g *gen) send(in *ssa.Send) {
	word := g.m.typeWord(g.layout(in.Chan))
	ch := g.pOf(in.Chan)
	val := g.mapKeyOf(in.X, elemType(in.Chan.Type()))
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		c := *pp(p, ch)
		mem := val.memory(s, p)
		if c != nil && abi.Chansend(c, mem, true) {
			return
		}
		t.waitSend(word, c, mem, val.l)
	})
}

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

func (g *gen) receive(v *ssa.UnOp) {
	word := g.m.typeWord(g.layout(v.X))
	ch := g.pOf(v.X)
	el := g.m.layoutOf(elemType(v.X.Type()))
	elWord := g.m.typeWord(el)
	dst := g.dst(v)
	ds, dp := dst.s*8, dst.p*8
	okAt := int32(-1)
	if v.CommaOk {
		okAt = ds + int32(g.layout(v).fields[1].s)*8
	}
	small := el.rt.Size() <= 8 && !hasPointers(el.rt)
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		c := *pp(p, ch)
		mem := unsafe.Pointer(&t.word) // enough for what has no pointers
		if !small {
			mem = abi.UnsafeNew(elWord)
		}
		selected, ok := false, false
		if c != nil {
			selected, ok = abi.Chanrecv(c, true, mem)
		}
		if !selected {
			mem, ok = t.waitReceive(word, c, mem, el)
		}
		el.load(mem, unsafe.Add(s, ds), unsafe.Add(p, dp))
		if okAt >= 0 {
			*su(s, okAt) = b2u(ok)
		}
	})
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

func (g *gen) selectStmt(v *ssa.Select) {
	type state struct {
		dir  reflect.SelectDir
		word unsafe.Pointer
		ch   int32
		val  mapKey
		dst  fieldSlots
	}
	tup := g.layout(v)
	dst := g.dst(v)
	ds, dp := dst.s*8, dst.p*8
	okAt := ds + int32(tup.fields[1].s)*8
	var states []state
	recv := 2
	for _, st := range v.States {
		c := state{word: g.m.typeWord(g.layout(st.Chan)), ch: g.pOf(st.Chan)}
		if st.Dir == types.SendOnly {
			c.dir = reflect.SelectSend
			c.val = g.mapKeyOf(st.Send, elemType(st.Chan.Type()))
		} else {
			c.dir = reflect.SelectRecv
			c.dst = tup.fields[recv]
			g.m.rtype(g.m.layoutOf(elemType(st.Chan.Type())))
			recv++
		}
		states = append(states, c)
	}
	blocking := v.Blocking
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		cases := t.waitCases(len(states) + 3)
		if !blocking { // the two wake-ups must not win against the default
			cases[0].Chan = reflect.ValueOf((chan struct{})(nil))
			cases[1].Chan = cases[0].Chan
		}
		for i := range states {
			st := &states[i]
			c := reflect.SelectCase{Dir: st.dir}
			if ch := *pp(p, st.ch); ch != nil {
				c.Chan = reflect.ValueOf(abi.Any(st.word, ch))
			}
			if st.dir == reflect.SelectSend {
				c.Send = reflect.NewAt(st.val.l.rt, st.val.memory(s, p)).Elem()
			}
			cases = append(cases, c)
		}
		chosen, val, ok := t.choose(cases, blocking)
		*si(s, ds) = int64(chosen)
		*su(s, okAt) = b2u(ok)
		for i := range states {
			if st := &states[i]; st.dir == reflect.SelectRecv {
				fs, fp := unsafe.Add(s, ds+int32(st.dst.s)*8), unsafe.Add(p, dp+int32(st.dst.p)*8)
				if i == chosen {
					st.dst.layout.load(valueMemory(val), fs, fp)
				} else {
					st.dst.layout.clear(fs, fp)
				}
			}
		}
	})
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
