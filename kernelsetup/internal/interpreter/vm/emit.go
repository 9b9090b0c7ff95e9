package vm

import (
	"fmt"
	"go/token"
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

// gen makes the code of one function.
type gen struct {
	*allocation
	code   *code
	pos    token.Pos
	labels []int   // instruction index by label; blocks come first
	fixups []fixup // branches to patch
	placed []bool
	todo   []*ssa.BasicBlock
	stubs  []stub
	tmpS   int32 // next scratch slots
	tmpP   int32
	endS   int32 // limits of the scratch slots
	endP   int32
	window loc
	sig    *sigLayout
	// fusedValue computes a value that was to be computed where it is used,
	// by the operations above; tryBuild sets it.
	fusedValue func(ssa.Value) loc
	outS       int // slots of the largest window
	outP       int
}

type fixup struct{ ins, label int }

// stub is the moves on an edge that a conditional branch takes.
type stub struct {
	label    int
	from, to *ssa.BasicBlock
}

type scratchOverflow struct{}

func (g *gen) newLabel() int {
	g.labels = append(g.labels, 0)
	return len(g.labels) - 1
}

func (g *gen) setLabel(l int) { g.labels[l] = len(g.code.ins) }

func (g *gen) branchTo(op opcode, a, b int32, label int) {
	g.fixups = append(g.fixups, fixup{len(g.code.ins), label})
	g.emit(op, a, b, 0, 0)
}

func (g *gen) emit(op opcode, a, b, c, d int32) *instr {
	g.code.ins = append(g.code.ins, instr{op: op, a: a, b: b, c: c, d: d})
	g.code.pos = append(g.code.pos, g.pos)
	return &g.code.ins[len(g.code.ins)-1]
}

func (g *gen) fail(format string, args ...any) {
	panic(&buildError{msg: fmt.Sprintf(format, args...), pos: g.pos})
}

// scratch slots, free again at the next SSA instruction.
func (g *gen) scratchS(n int) int32 {
	t := g.tmpS
	g.tmpS += int32(n)
	if g.tmpS > g.endS {
		panic(scratchOverflow{})
	}
	return t
}

func (g *gen) scratchP(n int) int32 {
	t := g.tmpP
	g.tmpP += int32(n)
	if g.tmpP > g.endP {
		panic(scratchOverflow{})
	}
	return t
}

// at returns the slots of a value, putting constants into scratch.
func (g *gen) at(v ssa.Value) loc {
	var dS, dP int32
	for {
		al, ok := g.aliases[v]
		if !ok {
			break
		}
		dS += int32(al.dS)
		dP += int32(al.dP)
		v = al.of
	}
	l, ok := g.locs[v]
	if !ok {
		c, isConst := g.m.constant(v)
		if !isConst {
			if g.fused[v] {
				return g.fusedValue(v)
			}
			g.fail("internal: no slots for %s = %s in %s", v.Name(), v, g.fn)
		}
		l = loc{g.scratchS(len(c.s)), g.scratchP(len(c.p))}
		g.constInto(c, l)
	}
	return loc{l.s + dS, l.p + dP}
}

// sOf and pOf return the byte offset of a value's only slot.
func (g *gen) sOf(v ssa.Value) int32 { return g.at(v).s * 8 }

func (g *gen) pOf(v ssa.Value) int32 { return g.at(v).p * 8 }

// dst returns the slots of the value an instruction defines.
func (g *gen) dst(v ssa.Value) loc { return g.locs[v] }

func (g *gen) layout(v ssa.Value) *layout { return g.m.layoutOf(v.Type()) }

func (g *gen) constInto(c slotValues, l loc) {
	for i, u := range c.s {
		g.emit(opConst, (l.s+int32(i))*8, 0, int32(uint32(u)), int32(uint32(u>>32)))
	}
	for i, p := range c.p {
		g.emit(opConstP, (l.p+int32(i))*8, g.ptr(p), 0, 0)
	}
}

// ptr adds a pointer constant to the code.
func (g *gen) ptr(p unsafe.Pointer) int32 {
	for i, q := range g.code.ptrs {
		if q == p {
			return int32(i)
		}
	}
	g.code.ptrs = append(g.code.ptrs, p)
	return int32(len(g.code.ptrs) - 1)
}

func (g *gen) ext(f ext) {
	g.code.exts = append(g.code.exts, f)
	g.emit(opExt, 0, 0, int32(len(g.code.exts)-1), 0)
}

// into puts a value into given slots.
func (g *gen) into(v ssa.Value, dst loc) {
	if c, ok := g.m.constant(v); ok {
		g.constInto(c, dst)
		return
	}
	g.copySlots(dst, g.at(v), g.layout(v))
}

func (g *gen) copySlots(dst, src loc, l *layout) {
	switch {
	case l.nS == 1 && l.nP == 1 && dst.s != src.s && dst.p != src.p:
		g.emit(opMovPS, dst.p*8, src.p*8, dst.s*8, src.s*8)
		return
	case l.nP == 2 && dst.p != src.p:
		g.emit(opMovPP, dst.p*8, src.p*8, 0, 0)
	default:
		for i := range int32(l.nP) {
			g.moveP(dst.p+i, src.p+i)
		}
	}
	if l.nS == 2 && dst.s != src.s {
		g.emit(opMovSS, dst.s*8, src.s*8, 0, 0)
		return
	}
	for i := range int32(l.nS) {
		g.moveS(dst.s+i, src.s+i)
	}
}

func (g *gen) moveS(dst, src int32) {
	if dst != src {
		g.emit(opMovS, dst*8, src*8, 0, 0)
	}
}

func (g *gen) moveP(dst, src int32) {
	if dst != src {
		g.emit(opMovP, dst*8, src*8, 0, 0)
	}
}

func (g *gen) elemSize(l *layout) uintptr { return g.m.rtype(l).Size() }

// isConst reports whether v, or what it is a view of, is a constant.
func (g *gen) isConst(v ssa.Value) bool {
	for {
		al, ok := g.aliases[v]
		if !ok {
			break
		}
		v = al.of
	}
	switch v.(type) {
	case *ssa.Const, *ssa.Global, *ssa.Function:
		return true
	}
	return false
}
