package vm

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
