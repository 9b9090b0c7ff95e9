package vm

import (
	"go/token"
	"go/types"

	"golang.org/x/tools/go/ssa"
)

// loc is where a value's first scalar and first pointer slot are, in slots.
type loc struct{ s, p int32 }

// alias says that a value is part of another one's slots.
type alias struct {
	of     ssa.Value
	dS, dP int
}

// allocation gives each value of a function its slots. A value that is only a
// part or another view of one already there shares its slots; a phi shares
// with its operands where they are never alive at once, so that loops need no
// moves.
type allocation struct {
	m       *Machine
	fn      *ssa.Function
	aliases map[ssa.Value]alias
	fused   map[ssa.Value]bool // computed where it is used
	// promoted variables live in slots; elided instructions do nothing;
	// appends gives the elements of the arrays that are not made.
	promoted map[*ssa.Alloc]bool
	elided   map[ssa.Instruction]bool
	appends  map[*ssa.Slice][]ssa.Value
	num      map[ssa.Value]int
	vals     []ssa.Value // roots by number
	defBlk   []int
	defPos   []int
	liveOut  []bitset
	class    []int // union-find over roots
	members  map[int][]int
	locs     map[ssa.Value]loc
	nS, nP   int32
}

type bitset []uint64

func (b bitset) has(i int) bool { return b[i>>6]>>(i&63)&1 != 0 }

func (b bitset) set(i int) { b[i>>6] |= 1 << (i & 63) }

// maxCoalesce bounds the work: larger functions keep their moves.
const maxCoalesce = 4000

func (m *Machine) allocate(fn *ssa.Function, sig *sigLayout) *allocation {
	a := &allocation{m: m, fn: fn, aliases: map[ssa.Value]alias{}, fused: map[ssa.Value]bool{},
		num: map[ssa.Value]int{}, locs: map[ssa.Value]loc{}, promoted: map[*ssa.Alloc]bool{},
		elided: map[ssa.Instruction]bool{}, appends: map[*ssa.Slice][]ssa.Value{}, nS: int32(sig.endS), nP: int32(sig.endP)}
	hasPhi := a.scan()
	if hasPhi && len(a.vals) < maxCoalesce {
		a.liveness()
		a.coalesce()
	}
	a.assign(sig)
	return a
}

// scan finds aliases and fused values and numbers the rest.
func (a *allocation) scan() (hasPhi bool) {
	for _, v := range a.fn.Params {
		a.define(v, 0, -2)
	}
	for _, v := range a.fn.FreeVars {
		a.define(v, 0, -2)
	}
	a.findAppends()
	for _, b := range a.fn.Blocks {
		for i, in := range b.Instrs {
			v, ok := in.(ssa.Value)
			if !ok || a.elided[in] {
				continue
			}
			if al, ok := v.(*ssa.Alloc); ok && a.canPromote(al) {
				a.promoted[al] = true
				continue
			}
			if a.inPromoted(v) {
				continue
			}
			if al, ok := a.aliasOf(v); ok {
				a.aliases[v] = al
				continue
			}
			if a.canFuse(v) {
				a.fused[v] = true
				continue
			}
			pos := i
			if _, ok := v.(*ssa.Phi); ok {
				pos, hasPhi = -1, true
			}
			a.define(v, b.Index, pos)
		}
	}
	return hasPhi
}

func (a *allocation) define(v ssa.Value, blk, pos int) {
	a.num[v] = len(a.vals)
	a.vals = append(a.vals, v)
	a.defBlk = append(a.defBlk, blk)
	a.defPos = append(a.defPos, pos)
}

// aliasOf recognises values that need no slots of their own.
func (a *allocation) aliasOf(v ssa.Value) (alias, bool) {
	switch v := v.(type) {
	case *ssa.Extract:
		f := a.m.layoutOf(v.Tuple.Type()).fields[v.Index]
		return alias{v.Tuple, f.s, f.p}, true
	case *ssa.Field:
		if l := a.m.layoutOf(v.X.Type()); !l.isBox() {
			f := l.fields[v.Field]
			return alias{v.X, f.s, f.p}, true
		}
	case *ssa.ChangeType:
		return alias{v.X, 0, 0}, true
	case *ssa.Convert:
		if sameWord(v.X.Type(), v.Type()) {
			return alias{v.X, 0, 0}, true
		}
	case *ssa.Call:
		b, ok := v.Call.Value.(*ssa.Builtin)
		if !ok || len(v.Call.Args) != 1 {
			break
		}
		x := v.Call.Args[0]
		switch x.Type().Underlying().(type) {
		case *types.Slice, *types.Basic:
			if b.Name() == "len" {
				return alias{x, 0, 0}, true
			}
			if b.Name() == "cap" {
				return alias{x, 1, 0}, true
			}
		}
	}
	return alias{}, false
}

// sameWord reports whether a conversion leaves the slot as it is.
func sameWord(from, to types.Type) bool {
	f, ok1 := from.Underlying().(*types.Basic)
	t, ok2 := to.Underlying().(*types.Basic)
	if !ok1 || !ok2 || f.Info()&types.IsInteger == 0 || t.Info()&types.IsInteger == 0 {
		return false
	}
	return f.Kind() == t.Kind() || intBits(f) == 64 && intBits(t) == 64
}

// canFuse reports whether v is best computed by the instructions that use it.
func (a *allocation) canFuse(v ssa.Value) bool {
	refs := v.Referrers()
	if refs == nil {
		return false
	}
	switch v := v.(type) {
	case *ssa.FieldAddr:
		return len(*refs) > 0 && onlyAddress(v, *refs)
	case *ssa.IndexAddr:
		if len(*refs) != 1 || (*refs)[0].Block() != v.Block() || !onlyAddress(v, *refs) {
			return false
		}
		if _, ok := (*refs)[0].(*ssa.FieldAddr); ok {
			return false
		}
		if _, ok := v.X.Type().Underlying().(*types.Slice); !ok {
			return false
		}
		return indexOp(a.m.layoutOf(v.Type().Underlying().(*types.Pointer).Elem())) != 0
	case *ssa.BinOp:
		if len(*refs) != 1 {
			return false
		}
		br, ok := (*refs)[0].(*ssa.If)
		return ok && br.Block() == v.Block() && branchable(v)
	}
	return false
}

// onlyAddress reports whether addr is only loaded from and stored to.
func onlyAddress(addr ssa.Value, refs []ssa.Instruction) bool {
	for _, r := range refs {
		switch r := r.(type) {
		case *ssa.UnOp:
			if r.Op != token.MUL {
				return false
			}
		case *ssa.Store:
			if r.Val == addr {
				return false
			}
		case *ssa.FieldAddr:
			if rr := r.Referrers(); len(*rr) == 0 || !onlyAddress(r, *rr) {
				return false
			}
		default:
			return false
		}
	}
	return true
}

// branchable reports whether a comparison has a branch instruction.
func branchable(v *ssa.BinOp) bool {
	b, ok := v.X.Type().Underlying().(*types.Basic)
	if !ok {
		return false
	}
	switch v.Op {
	case token.EQL, token.NEQ, token.LSS, token.LEQ, token.GTR, token.GEQ:
	default:
		return false
	}
	return b.Info()&(types.IsInteger|types.IsBoolean) != 0 || b.Kind() == types.Float64 || b.Kind() == types.UntypedFloat
}

// roots appends the numbers of the values whose slots v is read from.
func (a *allocation) roots(v ssa.Value, out []int) []int {
	for {
		if al, ok := a.aliases[v]; ok {
			v = al.of
			continue
		}
		break
	}
	if sl, ok := v.(*ssa.Slice); ok && a.appends[sl] != nil {
		for _, e := range a.appends[sl] {
			out = a.roots(e, out)
		}
		return out
	}
	if a.fused[v] {
		switch v := v.(type) {
		case *ssa.FieldAddr:
			return a.roots(v.X, out)
		case *ssa.IndexAddr:
			return a.roots(v.Index, a.roots(v.X, out))
		case *ssa.BinOp:
			return a.roots(v.Y, a.roots(v.X, out))
		}
	}
	if n, ok := a.num[v]; ok {
		out = append(out, n)
	}
	return out
}

func (a *allocation) usesOf(in ssa.Instruction, out []int) []int {
	var buf [8]*ssa.Value
	for _, op := range in.Operands(buf[:0]) {
		if *op != nil {
			out = a.roots(*op, out)
		}
	}
	return out
}

// liveness computes which roots are alive at the end of each block.
func (a *allocation) liveness() {
	n := (len(a.vals) + 63) / 64
	blocks := a.fn.Blocks
	use := make([]bitset, len(blocks))
	def := make([]bitset, len(blocks))
	in := make([]bitset, len(blocks))
	a.liveOut = make([]bitset, len(blocks))
	words := make([]uint64, 4*n*len(blocks))
	take := func() bitset { b := bitset(words[:n:n]); words = words[n:]; return b }
	for i := range blocks {
		use[i], def[i], in[i], a.liveOut[i] = take(), take(), take(), take()
	}
	for i, b := range a.defBlk {
		def[b].set(i)
	}
	var buf []int
	for _, b := range blocks {
		for _, ins := range b.Instrs {
			if _, ok := ins.(*ssa.Phi); ok {
				continue
			}
			buf = a.usesOf(ins, buf[:0])
			for _, u := range buf {
				if !def[b.Index].has(u) {
					use[b.Index].set(u)
				}
			}
		}
	}
	for changed := true; changed; {
		changed = false
		for i := len(blocks) - 1; i >= 0; i-- {
			b := blocks[i]
			out := a.liveOut[i]
			for _, s := range b.Succs {
				for w := range out {
					out[w] |= in[s.Index][w]
				}
				for _, ins := range s.Instrs {
					phi, ok := ins.(*ssa.Phi)
					if !ok {
						break
					}
					for k, p := range s.Preds {
						if p == b {
							buf = a.roots(phi.Edges[k], buf[:0])
							for _, u := range buf {
								out.set(u)
							}
						}
					}
				}
			}
			for w := range out {
				v := use[i][w] | out[w]&^def[i][w]
				if v != in[i][w] {
					in[i][w] = v
					changed = true
				}
			}
		}
	}
	if a.fn.Recover == nil {
		return
	}
	for _, ins := range a.fn.Recover.Instrs { // a panic leads there from anywhere
		for _, u := range a.usesOf(ins, nil) {
			for _, out := range a.liveOut {
				out.set(u)
			}
		}
	}
}

// coalesce joins phis with their operands.
func (a *allocation) coalesce() {
	a.class = make([]int, len(a.vals))
	a.members = map[int][]int{}
	for i := range a.class {
		a.class[i] = i
	}
	for _, b := range a.fn.Blocks {
		for _, ins := range b.Instrs {
			phi, ok := ins.(*ssa.Phi)
			if !ok {
				break
			}
			for _, e := range phi.Edges {
				n, ok := a.num[e]
				if !ok || a.defPos[n] == -2 {
					continue // constants, parts of others, parameters
				}
				a.join(a.num[phi], n)
			}
		}
	}
}

func (a *allocation) membersOf(c int) []int {
	if ms := a.members[c]; ms != nil {
		return ms
	}
	return []int{c}
}

func (a *allocation) join(x, y int) {
	cx, cy := a.class[x], a.class[y]
	if cx == cy {
		return
	}
	mx, my := a.membersOf(cx), a.membersOf(cy)
	if len(mx)*len(my) > 400 {
		return
	}
	for _, i := range mx {
		for _, j := range my {
			if a.interfere(i, j) {
				return
			}
		}
	}
	all := append(append([]int{}, mx...), my...)
	for _, i := range all {
		a.class[i] = cx
	}
	a.members[cx] = all
	delete(a.members, cy)
}

// interfere reports whether two roots are ever alive at once.
func (a *allocation) interfere(x, y int) bool {
	bx, by := a.fn.Blocks[a.defBlk[x]], a.fn.Blocks[a.defBlk[y]]
	switch {
	case bx == by && a.defPos[x] == a.defPos[y]:
		return true // two phis of a block
	case bx == by && a.defPos[x] < a.defPos[y] || bx != by && bx.Dominates(by):
		return a.liveAfter(x, y)
	case bx == by || by.Dominates(bx):
		return a.liveAfter(y, x)
	}
	return false
}

// liveAfter reports whether x is still wanted once y has been defined.
func (a *allocation) liveAfter(x, y int) bool {
	blk := a.defBlk[y]
	if a.liveOut[blk].has(x) {
		return true
	}
	var buf []int
	instrs := a.fn.Blocks[blk].Instrs
	for i := max(a.defPos[y], -1) + 1; i < len(instrs); i++ {
		if _, ok := instrs[i].(*ssa.Phi); ok {
			continue
		}
		buf = a.usesOf(instrs[i], buf[:0])
		for _, u := range buf {
			if u == x {
				return true
			}
		}
	}
	return false
}

// assign numbers the slots.
func (a *allocation) assign(sig *sigLayout) {
	byClass := map[int]loc{}
	for i, v := range a.vals {
		if i < len(a.fn.Params) {
			a.locs[v] = loc{int32(sig.params[i].s), int32(sig.params[i].p)}
			continue
		}
		if a.class != nil {
			if l, ok := byClass[a.class[i]]; ok {
				a.locs[v] = l
				continue
			}
		}
		l := loc{a.nS, a.nP}
		lay := a.m.layoutOf(slotType(v))
		a.nS += int32(lay.nS)
		a.nP += int32(lay.nP)
		a.locs[v] = l
		if a.class != nil {
			byClass[a.class[i]] = l
		}
	}
	for al := range a.promoted { // never shared: they are written to
		l := a.m.layoutOf(elemType(al.Type()))
		a.locs[al] = loc{a.nS, a.nP}
		a.nS += int32(l.nS)
		a.nP += int32(l.nP)
	}
}

// slotType is the type that decides on a value's slots.
func slotType(v ssa.Value) types.Type {
	switch v := v.(type) {
	case *ssa.Range:
		return types.Typ[types.UnsafePointer]
	case *ssa.Call:
		if b, ok := v.Call.Value.(*ssa.Builtin); ok && b.Name() == "ssa:deferstack" {
			return types.Typ[types.UnsafePointer]
		}
	}
	return v.Type()
}
