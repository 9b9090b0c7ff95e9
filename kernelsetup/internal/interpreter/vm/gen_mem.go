package vm

import (
	"go/types"

	"golang.org/x/tools/go/ssa"
)

// address returns where v points as a pointer slot and an offset.
func (g *gen) address(v ssa.Value) (base, off int32) {
	if f, ok := v.(*ssa.FieldAddr); ok && g.fused[v] {
		return g.fieldAddress(f)
	}
	return g.pOf(v), 0
}

func (g *gen) fieldAddress(f *ssa.FieldAddr) (base, off int32) {
	base, off = g.address(f.X)
	st := f.X.Type().Underlying().(*types.Pointer).Elem()
	return base, off + int32(g.m.rtype(g.m.layoutOf(st)).Field(f.Field).Offset)
}

func (g *gen) load(v *ssa.UnOp) {
	l := g.layout(v)
	dst := g.dst(v)
	if at, ok := g.promotedAt(v.X); ok {
		g.copySlots(dst, at, l)
		return
	}
	if ix, ok := v.X.(*ssa.IndexAddr); ok && g.fused[v.X] {
		g.loadIndexed(ix, l, dst)
		return
	}
	if gl, ok := v.X.(*ssa.Global); ok && len(l.comps) == 1 {
		addr := g.ptr(g.m.globalAddr(gl))
		switch l.comps[0].kind {
		case mem64:
			g.emit(opLdG64, dst.s*8, addr, 0, 0)
			return
		case memPtr:
			g.emit(opLdGP, dst.p*8, addr, 0, 0)
			return
		}
	}
	base, off := g.address(v.X)
	g.loadFrom(base, off, l, dst)
}

// loadFrom reads a value from memory at p[base]+off.
func (g *gen) loadFrom(base, off int32, l *layout, dst loc) {
	s, p := dst.s*8, dst.p*8
	switch shape(l) {
	case "":
		g.emit(opCheck, 0, base, 0, 0)
		return
	case "PS":
		g.emit(opLdStr, p, base, off+int32(l.comps[0].off), s)
		return
	case "PSS":
		g.emit(opLdSlice, p, base, off+int32(l.comps[0].off), s)
		return
	case "PP":
		g.emit(opLdIface, p, base, off+int32(l.comps[0].off), 0)
		return
	case "SS":
		g.emit(opLd2, s, base, off+int32(l.comps[0].off), 0)
		return
	}
	if l.nP > 0 && len(l.comps) > 1 && base >= p && base < p+int32(l.nP)*8 {
		t := g.scratchP(1) * 8
		g.emit(opMovP, t, base, 0, 0)
		base = t
	}
	for i := range l.comps {
		c := &l.comps[i]
		at := off + int32(c.off)
		switch c.kind {
		case memPtr:
			g.emit(opLdP, p, base, at, 0)
		case memBox:
			g.emit(opLdBox, p, base, at, g.ptr(c.box))
		default:
			g.emit(loadOps[c.kind], s, base, at, 0)
		}
		if c.isPtr() {
			p += 8
		} else {
			s += 8
		}
	}
}

var loadOps = [...]opcode{memU8: opLdU8, memI8: opLdI8, memU16: opLdU16, memI16: opLdI16,
	memU32: opLdU32, memI32: opLdI32, mem64: opLd64}

var storeOps = [...]opcode{memU8: opSt8, memI8: opSt8, memU16: opSt16, memI16: opSt16,
	memU32: opSt32, memI32: opSt32, mem64: opSt64}

func (g *gen) store(in *ssa.Store) {
	l := g.layout(in.Val)
	if f, ok := in.Addr.(*ssa.FieldAddr); ok && isBlank(f) {
		return
	}
	if at, ok := g.promotedAt(in.Addr); ok {
		g.into(in.Val, at)
		return
	}
	if ix, ok := in.Addr.(*ssa.IndexAddr); ok && g.fused[in.Addr] {
		g.storeIndexed(ix, l, in.Val)
		return
	}
	if gl, ok := in.Addr.(*ssa.Global); ok && len(l.comps) == 1 {
		addr := g.ptr(g.m.globalAddr(gl))
		switch l.comps[0].kind {
		case mem64:
			g.emit(opStG64, g.sOf(in.Val), addr, 0, 0)
			return
		case memPtr:
			g.emit(opStGP, g.pOf(in.Val), addr, 0, 0)
			return
		}
	}
	base, off := g.address(in.Addr)
	g.storeTo(base, off, l, g.at(in.Val))
}

// storeTo writes a value to memory at p[base]+off.
func (g *gen) storeTo(base, off int32, l *layout, src loc) {
	s, p := src.s*8, src.p*8
	switch shape(l) {
	case "":
		g.emit(opCheck, 0, base, 0, 0)
		return
	case "PS":
		g.emit(opStStr, p, base, off+int32(l.comps[0].off), s)
		return
	case "PSS":
		g.emit(opStSlice, p, base, off+int32(l.comps[0].off), s)
		return
	case "PP":
		g.emit(opStIface, p, base, off+int32(l.comps[0].off), 0)
		return
	case "SS":
		g.emit(opSt2, s, base, off+int32(l.comps[0].off), 0)
		return
	}
	for i := range l.comps {
		c := &l.comps[i]
		at := off + int32(c.off)
		switch c.kind {
		case memPtr:
			g.emit(opStP, p, base, at, 0)
		case memBox:
			g.emit(opStBox, p, base, at, g.ptr(c.box))
		default:
			g.emit(storeOps[c.kind], s, base, at, 0)
		}
		if c.isPtr() {
			p += 8
		} else {
			s += 8
		}
	}
}

// field takes a field out of a box.
func (g *gen) field(v *ssa.Field) {
	st := g.m.rtype(g.layout(v.X))
	g.loadBox(g.pOf(v.X), int32(st.Field(v.Field).Offset), g.layout(v), g.dst(v))
}

// loadBox reads from a box: a part that is a box itself needs no copy.
func (g *gen) loadBox(box, off int32, l *layout, dst loc) {
	if l.isBox() {
		g.emit(opLea, dst.p*8, box, off, 0)
		return
	}
	if len(l.comps) > 0 {
		g.loadFrom(box, off, l, dst)
	}
}

func (g *gen) loadIndexed(ix *ssa.IndexAddr, l *layout, dst loc) {
	sl := g.at(ix.X)
	g.checkUnsigned(ix.Index, sl.s*8)
	idx := g.sOf(ix.Index)
	op := indexOp(l)
	switch op {
	case opIxP:
		g.emit(op, dst.p*8, sl.p*8, idx, sl.s*8)
	case opIxStr, opIxSlice:
		in := g.emit(op, dst.p*8, sl.p*8, idx, sl.s*8)
		in.x = g.shortSlot(dst.s)
	default:
		g.emit(op, dst.s*8, sl.p*8, idx, sl.s*8)
	}
}

func (g *gen) storeIndexed(ix *ssa.IndexAddr, l *layout, val ssa.Value) {
	sl := g.at(ix.X)
	g.checkUnsigned(ix.Index, sl.s*8)
	idx := g.sOf(ix.Index)
	switch indexOp(l) {
	case opIxU8:
		g.emit(opIsU8, g.sOf(val), sl.p*8, idx, sl.s*8)
	case opIxI32:
		g.emit(opIs32, g.sOf(val), sl.p*8, idx, sl.s*8)
	case opIx64:
		g.emit(opIs64, g.sOf(val), sl.p*8, idx, sl.s*8)
	case opIxP:
		g.emit(opIsP, g.pOf(val), sl.p*8, idx, sl.s*8)
	default:
		t := g.scratchP(1) * 8
		in := g.emit(opIxAddr, t, sl.p*8, idx, sl.s*8)
		in.x = uint16(g.elemSize(l))
		g.storeTo(t, 0, l, g.at(val))
	}
}

// indexAddr puts the address of an element into the pointer slot d.
func (g *gen) indexAddr(v *ssa.IndexAddr, d int32) {
	size := g.elemSize(g.m.layoutOf(elemType(v.Type())))
	switch u := v.X.Type().Underlying().(type) {
	case *types.Slice:
		sl := g.at(v.X)
		g.checkUnsigned(v.Index, sl.s*8)
		if size >= 1<<16 {
			t := g.scratchS(1)
			g.emit(opConst, t*8, 0, int32(size), int32(size>>32))
			in := g.emit(opIxAddrBig, d, sl.p*8, g.sOf(v.Index), sl.s*8)
			in.x = g.shortSlot(t)
			return
		}
		in := g.emit(opIxAddr, d, sl.p*8, g.sOf(v.Index), sl.s*8)
		in.x = uint16(size)
	case *types.Pointer:
		n := u.Elem().Underlying().(*types.Array).Len()
		base := g.pOf(v.X)
		g.emit(opCheck, 0, base, 0, 0)
		g.checkUnsignedArray(v.Index, n)
		g.arrayElem(d, base, g.sOf(v.Index), n, size)
	default:
		g.fail("internal: address of an element of %s", v.X.Type())
	}
}

// arrayElem computes the address of an element of an array in memory.
func (g *gen) arrayElem(d, base, idx int32, n int64, size uintptr) {
	if n < 1<<31 && size < 1<<16 {
		in := g.emit(opIxArr, d, base, idx, int32(n))
		in.x = uint16(size)
		return
	}
	t := g.scratchS(2)
	g.constInto(slotValues{s: []uint64{uint64(n), uint64(size)}}, loc{t, 0})
	in := g.emit(opIxAddrBig, d, base, idx, t*8)
	in.x = g.shortSlot(t + 1)
}

// shortSlot returns a scalar slot as the operand x has it, in 16 bits.
func (g *gen) shortSlot(slot int32) uint16 {
	if slot >= 1<<16 {
		g.fail("function too large")
	}
	return uint16(slot)
}

// index takes an element out of a string or an array value.
func (g *gen) index(v *ssa.Index) {
	l := g.layout(v)
	switch u := v.X.Type().Underlying().(type) {
	case *types.Basic:
		str := g.at(v.X)
		g.checkUnsigned(v.Index, str.s*8)
		g.emit(opIxU8, g.dst(v).s*8, str.p*8, g.sOf(v.Index), str.s*8)
	case *types.Array:
		t := g.scratchP(1) * 8
		g.arrayElem(t, g.pOf(v.X), g.sOf(v.Index), u.Len(), g.elemSize(l))
		g.loadBox(t, 0, l, g.dst(v))
	default:
		g.fail("internal: element of %s", v.X.Type())
	}
}

// isBlank reports whether a field has no name: what is stored there is lost.
func isBlank(f *ssa.FieldAddr) bool {
	st := f.X.Type().Underlying().(*types.Pointer).Elem().Underlying().(*types.Struct)
	return st.Field(f.Field).Name() == "_"
}

// checkUnsigned reports an index beyond all signed numbers as what it is.
func (g *gen) checkUnsigned(index ssa.Value, n int32) {
	if b, ok := index.Type().Underlying().(*types.Basic); !ok || !isUnsigned(b) || intBits(b) < 64 || g.isConst(index) {
		return
	}
	g.emit(opIxUnsigned, g.sOf(index), n, 0, 0)
}

func (g *gen) checkUnsignedArray(index ssa.Value, n int64) {
	if b, ok := index.Type().Underlying().(*types.Basic); ok && isUnsigned(b) && intBits(b) == 64 && !g.isConst(index) {
		t := g.scratchS(1)
		g.constInto(slotValues{s: []uint64{uint64(n)}}, loc{t, 0})
		g.checkUnsigned(index, t*8)
	}
}
