package vm

import (
	"fmt"
	"go/token"
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

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
	g.fusedValue = g.materialise
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
	g.code = &code{fn: f, name: fn.String(), pkg: fn.Pkg, sizeS: uintptr(g.endS) * 8, sizeP: uintptr(g.endP) * 8}
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
			g.instr(in)
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

// storedNext reports whether a variable is written as a whole right after it
// comes to be.
func storedNext(al *ssa.Alloc, b *ssa.BasicBlock, i int) bool {
	if i+1 >= len(b.Instrs) {
		return false
	}
	st, ok := b.Instrs[i+1].(*ssa.Store)
	return ok && st.Addr == ssa.Value(al)
}
