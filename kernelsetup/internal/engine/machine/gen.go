package machine

import (
	"fmt"
	"go/token"
	"go/types"
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

// buildError is a program that cannot be run; it ends the making of code.
type buildError struct {
	msg string
	pos token.Pos
}

func (e *buildError) Error() string { return e.msg }

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
	outS   int // slots of the largest window
	outP   int
}

type fixup struct{ ins, label int }

// stub is the moves on an edge that a conditional branch takes.
type stub struct {
	label    int
	from, to *ssa.BasicBlock
}

type scratchOverflow struct{}

// build makes the code of fn. The machine's lock must be held.
func (m *Machine) build(f *Func) (c *code, err error) {
	if len(f.ssa.Blocks) == 0 && m.lower != nil {
		m.lower(f.ssa)
	}
	scratch := int32(8)
	for {
		c, err = m.tryBuild(f, scratch)
		if _, ok := err.(scratchError); !ok {
			return c, err
		}
		scratch *= 8
	}
}

type scratchError struct{ error }

func (m *Machine) tryBuild(f *Func, scratch int32) (c *code, err error) {
	g := &gen{}
	fn := f.ssa
	defer func() {
		switch r := recover().(type) {
		case nil:
		case *buildError:
			if r.pos == token.NoPos {
				r.pos = g.pos
			}
			err = r
		case scratchOverflow:
			err = scratchError{}
		default:
			panic(r)
		}
	}()
	if fn.Signature.TypeParams() != nil && len(fn.TypeArgs()) == 0 {
		return nil, &buildError{msg: fmt.Sprintf("generic function %s is not instantiated", fn.Name())}
	}
	g.pos = fn.Pos()
	g.sig = m.funcLayout(fn)
	g.allocation = m.allocate(fn, g.sig)
	g.tmpS, g.tmpP = g.nS, g.nP
	g.endS, g.endP = g.nS+scratch, g.nP+scratch
	g.window = loc{g.endS, g.endP}
	g.code = &code{fn: f, sizeS: uintptr(g.endS) * 8, sizeP: uintptr(g.endP) * 8}
	g.code.wrapper = fn.Synthetic != "" && fn.Syntax() == nil
	g.labels = make([]int, len(fn.Blocks))
	g.placed = make([]bool, len(fn.Blocks))
	g.body()
	recoverAt := g.recoverEntry()
	g.emit(opEnd, 0, 0, 0, 0)
	for _, fx := range g.fixups {
		g.code.ins[fx.ins].d = int32((g.labels[fx.label] - fx.ins - 1) * int(instrSize))
	}
	g.code.start = unsafe.Pointer(&g.code.ins[0])
	if recoverAt >= 0 {
		g.code.recoverAt = unsafe.Pointer(&g.code.ins[recoverAt])
	}
	g.code.needS, g.code.needP = g.code.sizeS+uintptr(g.outS)*8, g.code.sizeP+uintptr(g.outP)*8
	g.code.freeS, g.code.freeP = uintptr(g.sig.endS)*8, uintptr(g.sig.endP)*8
	return g.code, nil
}

func (g *gen) body() {
	g.todo = append(g.todo, g.fn.Blocks[0])
	for len(g.todo) > 0 || len(g.stubs) > 0 {
		if len(g.todo) == 0 {
			s := g.stubs[0]
			g.stubs = g.stubs[1:]
			g.setLabel(s.label)
			g.edge(s.from, s.to)
			g.jump(s.to)
			continue
		}
		b := g.todo[len(g.todo)-1]
		g.todo = g.todo[:len(g.todo)-1]
		for b != nil && !g.placed[b.Index] {
			b = g.block(b)
		}
	}
}

// block emits a block and returns the one that must follow it, if any.
func (g *gen) block(b *ssa.BasicBlock) *ssa.BasicBlock {
	g.placed[b.Index] = true
	g.setLabel(b.Index)
	return g.instrs(b)
}

func (g *gen) instrs(b *ssa.BasicBlock) *ssa.BasicBlock {
	forgotten := g.forgottenDefers(b)
	for i, in := range b.Instrs {
		if i == forgotten {
			g.emit(opRunDefers, 0, 0, 0, 0)
		}
		if p := in.Pos(); p != token.NoPos {
			g.pos = p
		}
		g.tmpS, g.tmpP = g.nS, g.nP
		switch in := in.(type) {
		case *ssa.Phi, *ssa.DebugRef:
		case *ssa.Jump:
			return g.jumpOrTest(b, b.Succs[0])
		case *ssa.If:
			return g.branch(b, in)
		case *ssa.Return:
			g.ret(in)
		default:
			if g.elided[in] {
				continue
			}
			if v, ok := in.(ssa.Value); ok {
				if _, ok := g.aliases[v]; ok || g.fused[v] {
					continue
				}
				if al, ok := v.(*ssa.Alloc); ok && g.promoted[al] {
					if !storedNext(al, b, i) {
						g.constInto(g.m.zeroSlots(g.m.layoutOf(elemType(al.Type()))), g.locs[al])
					}
					continue
				}
				if g.inPromoted(v) {
					continue
				}
			}
			if !g.pair(b, i) {
				g.instr(in)
			}
		}
	}
	return nil
}

// jumpOrTest goes on to a block; a short test at the top of a loop is copied
// to its bottom.
func (g *gen) jumpOrTest(from, to *ssa.BasicBlock) *ssa.BasicBlock {
	g.edge(from, to)
	if !g.placed[to.Index] {
		return to
	}
	if g.isTest(to) {
		return g.instrs(to)
	}
	return g.jump(to)
}

// jump emits a jump to a block, or lets it follow.
func (g *gen) jump(to *ssa.BasicBlock) *ssa.BasicBlock {
	g.branchTo(opJmp, 0, 0, g.labelOf(to))
	return nil
}

// labelOf returns a block's label and sees to it that it will be emitted.
func (g *gen) labelOf(b *ssa.BasicBlock) int {
	if !g.placed[b.Index] {
		g.todo = append(g.todo, b)
	}
	return b.Index
}

// isTest reports whether a block is a short computation and a branch.
func (g *gen) isTest(b *ssa.BasicBlock) bool {
	n := 0
	for _, in := range b.Instrs {
		switch in := in.(type) {
		case *ssa.Phi, *ssa.DebugRef:
			continue
		case *ssa.If:
			return n <= 4
		case *ssa.BinOp, *ssa.UnOp, *ssa.Extract, *ssa.FieldAddr, *ssa.IndexAddr:
			n++
		case *ssa.Call:
			if _, ok := g.aliases[in]; !ok {
				return false
			}
		default:
			return false
		}
	}
	return false
}

// branch emits a conditional branch.
func (g *gen) branch(b *ssa.BasicBlock, in *ssa.If) *ssa.BasicBlock {
	yes, no := b.Succs[0], b.Succs[1]
	if yes == no {
		return g.jumpOrTest(b, yes)
	}
	if !g.placed[yes.Index] {
		// the false side branches away, the true side follows
		g.cond(in.Cond, false, g.edgeLabel(b, no))
		g.edge(b, yes)
		if g.placed[yes.Index] {
			return g.jump(yes)
		}
		return yes
	}
	g.cond(in.Cond, true, g.edgeLabel(b, yes))
	g.edge(b, no)
	if g.placed[no.Index] {
		return g.jump(no)
	}
	return no
}

func hasPhis(b *ssa.BasicBlock) bool {
	_, ok := b.Instrs[0].(*ssa.Phi)
	return ok
}

// edgeLabel returns where to branch for an edge: the block, or the moves
// before it.
func (g *gen) edgeLabel(from, to *ssa.BasicBlock) int {
	if len(g.moves(from, to)) == 0 && !g.edgeConsts(from, to) {
		return g.labelOf(to)
	}
	l := g.newLabel()
	g.stubs = append(g.stubs, stub{l, from, to})
	return l
}

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
				return g.materialise(v)
			}
			g.fail("internal: no slots for %s = %s in %s", v.Name(), v, g.fn)
		}
		l = loc{g.scratchS(len(c.s)), g.scratchP(len(c.p))}
		g.constInto(c, l)
	}
	return loc{l.s + dS, l.p + dP}
}

// materialise computes a fused value after all.
func (g *gen) materialise(v ssa.Value) loc {
	l := loc{g.scratchS(0), g.scratchP(0)}
	switch v := v.(type) {
	case *ssa.FieldAddr:
		l.p = g.scratchP(1)
		base, off := g.address(v)
		g.emit(opLea, l.p*8, base, off, 0)
	case *ssa.BinOp:
		l.s = g.scratchS(1)
		g.binop(v, l)
	case *ssa.IndexAddr:
		l.p = g.scratchP(1)
		g.indexAddr(v, l.p*8)
	}
	return l
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

// recoverEntry emits where a function goes on after a recovered panic and
// returns the number of that instruction, -1 without defers.
func (g *gen) recoverEntry() int {
	if !hasDefers(g.fn) {
		return -1
	}
	at := len(g.code.ins)
	g.emit(opRunDefers, 0, 0, 0, 0)
	if r := g.fn.Recover; r != nil {
		g.jump(r)
		g.body()
	} else {
		g.tmpS, g.tmpP = g.nS, g.nP
		zero := loc{}
		for _, r := range g.sig.results {
			g.constInto(g.m.zeroSlots(r.layout), loc{zero.s + int32(r.s), zero.p + int32(r.p)})
		}
		g.emit(opRet, 0, 0, 0, 0)
	}
	return at
}

func hasDefers(fn *ssa.Function) bool {
	if fn.Recover != nil {
		return true
	}
	for _, b := range fn.Blocks {
		for _, in := range b.Instrs {
			switch in := in.(type) {
			case *ssa.Defer, *ssa.RunDefers:
				return true
			case *ssa.Call:
				if b, ok := in.Call.Value.(*ssa.Builtin); ok && b.Name() == "ssa:deferstack" {
					return true
				}
			}
		}
	}
	return false
}

func elemType(t types.Type) types.Type {
	switch u := t.Underlying().(type) {
	case *types.Pointer:
		return u.Elem()
	case *types.Slice:
		return u.Elem()
	case *types.Array:
		return u.Elem()
	case *types.Chan:
		return u.Elem()
	case *types.Map:
		return u.Elem()
	}
	return nil
}

// storedNext reports whether a variable is written as a whole right after it
// comes to be.
func storedNext(al *ssa.Alloc, b *ssa.BasicBlock, i int) bool {
	if i+1 >= len(b.Instrs) {
		return false
	}
	st, ok := b.Instrs[i+1].(*ssa.Store)
	return ok && st.Addr == ssa.Value(al)
}
