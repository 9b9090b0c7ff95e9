package vm

import (
	"go/token"
	"go/types"
	"slices"
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

// instr emits one SSA instruction.
func (g *gen) instr(in ssa.Instruction) {
	switch in := in.(type) {
	case *ssa.Alloc:
		g.alloc(in)
	case *ssa.BinOp:
		g.binop(in, g.dst(in))
	case *ssa.UnOp:
		g.unop(in)
	case *ssa.Convert:
		g.convert(in, in.X)
	case *ssa.MultiConvert:
		g.convert(in, in.X)
	case *ssa.Call:
		g.call(in)
	case *ssa.Go:
		g.goStmt(in)
	case *ssa.Defer:
		g.deferStmt(in)
	case *ssa.RunDefers:
		g.emit(opRunDefers, 0, 0, 0, 0)
	case *ssa.Panic:
		g.panicInstr(in)
	case *ssa.Store:
		g.store(in)
	case *ssa.Field:
		g.field(in)
	case *ssa.FieldAddr:
		base, off := g.fieldAddress(in)
		g.emit(opLea, g.dst(in).p*8, base, off, 0)
	case *ssa.Index:
		g.index(in)
	case *ssa.IndexAddr:
		g.indexAddr(in, g.dst(in).p*8)
	case *ssa.Slice:
		g.slice(in)
	case *ssa.SliceToArrayPointer:
		g.sliceToArray(in)
	case *ssa.MakeSlice:
		g.makeSlice(in)
	case *ssa.MakeMap:
		g.makeMap(in)
	case *ssa.MakeChan:
		g.makeChan(in)
	case *ssa.MakeClosure:
		g.makeClosure(in)
	case *ssa.MakeInterface:
		g.makeInterface(in)
	case *ssa.ChangeInterface:
		g.changeInterface(in)
	case *ssa.TypeAssert:
		g.typeAssert(in)
	case *ssa.Lookup:
		g.lookup(in)
	case *ssa.MapUpdate:
		g.mapUpdate(in)
	case *ssa.Range:
		g.rangeOver(in)
	case *ssa.Next:
		g.next(in)
	case *ssa.Send:
		g.send(in)
	case *ssa.Select:
		g.selectStmt(in)
	default:
		g.fail("internal: instruction %T", in)
	}
}

func (g *gen) alloc(in *ssa.Alloc) {
	l := g.m.layoutOf(in.Type().Underlying().(*types.Pointer).Elem())
	const large = 1 << 20
	if size := uint64(g.elemSize(l)); size > large {
		m := g.m
		g.ext(func(t *Thread, s, p unsafe.Pointer) { m.reserve(size) })
	}
	g.emit(opNew, g.dst(in).p*8, g.ptr(g.m.typeWord(l)), 0, 0)
}

// ret emits the results and the return.
func (g *gen) ret(in *ssa.Return) {
	if len(in.Results) == 1 && !g.isConst(in.Results[0]) {
		l := g.layout(in.Results[0])
		if l.nS == 1 && l.nP == 0 {
			g.emit(opRetS, g.sOf(in.Results[0]), 0, 0, 0)
			return
		}
		if l.nS == 0 && l.nP == 1 {
			g.emit(opRetP, g.pOf(in.Results[0]), 0, 0, 0)
			return
		}
	}
	for i, r := range in.Results {
		f := g.sig.results[i]
		g.into(r, loc{int32(f.s), int32(f.p)})
	}
	g.emit(opRet, 0, 0, 0, 0)
}

// forgottenDefers returns where in a block deferred calls have to run for
// which ssa has no instruction: it forgets those that only bodies of
// range-over-func loops defer. That is before the results are loaded.
func (g *gen) forgottenDefers(b *ssa.BasicBlock) int {
	ret, ok := b.Instrs[len(b.Instrs)-1].(*ssa.Return)
	if !ok || !g.defersFromLoops() {
		return -1
	}
	at := len(b.Instrs) - 1
	for at > 0 {
		ld, ok := b.Instrs[at-1].(*ssa.UnOp)
		if !ok || ld.Op != token.MUL || !slices.Contains(ret.Results, ssa.Value(ld)) {
			break
		}
		at--
	}
	return at
}

// defersFromLoops reports whether deferred calls come from bodies of
// range-over-func loops only.
func (g *gen) defersFromLoops() bool {
	stack := false
	for _, b := range g.fn.Blocks {
		for _, in := range b.Instrs {
			switch in := in.(type) {
			case *ssa.RunDefers:
				return false
			case *ssa.Call:
				if b, ok := in.Call.Value.(*ssa.Builtin); ok && b.Name() == "ssa:deferstack" {
					stack = true
				}
			}
		}
	}
	return stack
}
