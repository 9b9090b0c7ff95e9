package vm

import (
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

// call emits a call: arguments go into the window behind the frame, results
// come back there.
func (g *gen) call(v *ssa.Call) {
	cc := &v.Call
	if b, ok := cc.Value.(*ssa.Builtin); ok && !cc.IsInvoke() {
		g.builtin(v, b)
		return
	}
	st := g.site(cc)
	op := g.callOp(cc, st)
	var fv int32
	switch op {
	case opCallFn, opInvoke:
		fv = g.pOf(cc.Value)
	}
	g.arguments(cc, st.sig)
	g.code.sites = append(g.code.sites, st)
	g.emit(op, 0, fv, int32(len(g.code.sites)-1), 0)
	if refs := v.Referrers(); len(*refs) > 0 {
		g.copySlots(g.dst(v), g.window, g.layout(v))
	}
}

// receiverSlots is room behind the parameters for the receiver of a method
// that is called through an interface, which the site does not know.
const receiverSlots = maxFlatSlots

// site describes what a call calls.
func (g *gen) site(cc *ssa.CallCommon) *site {
	st := &site{}
	switch {
	case cc.IsInvoke():
		st.sig = g.m.sigLayoutOf(cc.Signature())
		st.method, st.name = cc.Method.Id(), cc.Method.Name()
		st.iface = g.layout(cc.Value)
		g.m.typeWord(st.iface)
	case cc.StaticCallee() != nil && !isClosure(cc.Value):
		st.fn = g.m.funcOf(cc.StaticCallee())
		st.sig = st.fn.sig
	default:
		st.sig = g.m.sigLayoutOf(cc.Signature())
		st.typ = g.layout(cc.Value)
	}
	g.outS = max(g.outS, st.sig.endS+receiverSlots)
	g.outP = max(g.outP, st.sig.endP+receiverSlots)
	return st
}

func isClosure(v ssa.Value) bool { _, ok := v.(*ssa.MakeClosure); return ok }

func (g *gen) callOp(cc *ssa.CallCommon, st *site) opcode {
	switch {
	case cc.IsInvoke():
		return opInvoke
	case st.fn == nil:
		return opCallFn
	case st.fn.native != nil && st.fn.line.Load() == nil:
		return opCallNat
	}
	return opCall
}

// arguments moves the arguments into the window.
func (g *gen) arguments(cc *ssa.CallCommon, sig *sigLayout) {
	for i, a := range cc.Args {
		f := sig.params[i]
		g.into(a, loc{g.window.s + int32(f.s), g.window.p + int32(f.p)})
	}
}

// captureCall returns code that puts a call aside for defer and go.
func (g *gen) captureCall(cc *ssa.CallCommon) func(t *Thread, s, p unsafe.Pointer) *deferred {
	if b, ok := cc.Value.(*ssa.Builtin); ok && !cc.IsInvoke() {
		return g.captureBuiltin(cc, b)
	}
	st := g.site(cc)
	op := g.callOp(cc, st)
	var fv int32
	switch op {
	case opCallFn, opInvoke:
		fv = g.pOf(cc.Value)
		if op == opInvoke {
			g.emit(opCheck, 0, fv, 0, 0)
		}
	}
	g.arguments(cc, st.sig)
	skipS, skipP := st.sig.resS, st.sig.resP
	nS, nP := st.sig.endS, st.sig.endP
	ws, wp := g.window.s*8, g.window.p*8
	return func(t *Thread, s, p unsafe.Pointer) *deferred {
		d := &deferred{site: st, kind: op, room: receiverSlots}
		d.s = make([]uint64, nS)
		d.p = make([]unsafe.Pointer, nP)
		copy(d.s[skipS:], unsafe.Slice((*uint64)(unsafe.Add(s, ws)), nS)[skipS:])
		copy(d.p[skipP:], unsafe.Slice((*unsafe.Pointer)(unsafe.Add(p, wp)), nP)[skipP:])
		switch op {
		case opCallFn:
			d.fv = *pp(p, fv)
		case opInvoke:
			d.tab, d.fv = *pp(p, fv), *pp(p, fv+8)
		}
		return d
	}
}

// goStmt starts a goroutine.
func (g *gen) goStmt(in *ssa.Go) {
	capture := g.captureCall(&in.Call)
	isFn := !in.Call.IsInvoke() && in.Call.StaticCallee() == nil
	pos := in.Pos()
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		d := capture(t, s, p)
		if isFn && d.kind == opCallFn && d.fv == nil {
			panic(fatalText("go of nil func value"))
		}
		t.m.spawn(t.run, d, pos)
	})
}

func (g *gen) makeClosure(v *ssa.MakeClosure) {
	fn := g.m.funcOf(v.Fn.(*ssa.Function))
	maker := g.m.maker(g.layout(v))
	d := g.dst(v).p * 8
	type slots struct{ s, p, nS, nP int32 }
	var from []slots
	nS, nP := 0, 0
	for _, b := range v.Bindings {
		l, at := g.layout(b), g.at(b)
		from = append(from, slots{at.s * 8, at.p * 8, int32(l.nS), int32(l.nP)})
		nS += l.nS
		nP += l.nP
	}
	if nS == 0 && nP == 1 && len(from) == 1 {
		x := from[0].p
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			c := &struct {
				Closure
				one [1]unsafe.Pointer
			}{Closure: Closure{fn: fn}}
			c.one[0] = *pp(p, x)
			c.p = c.one[:]
			*pp(p, d) = maker.Func(unsafe.Pointer(&c.Closure))
		})
		return
	}
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		c := &Closure{fn: fn}
		if nS > 0 {
			c.s = make([]uint64, 0, nS)
		}
		if nP > 0 {
			c.p = make([]unsafe.Pointer, 0, nP)
		}
		for _, f := range from {
			for i := range f.nS {
				c.s = append(c.s, *su(s, f.s+i*8))
			}
			for i := range f.nP {
				c.p = append(c.p, *pp(p, f.p+i*8))
			}
		}
		*pp(p, d) = maker.Func(unsafe.Pointer(c))
	})
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
