package vm

import "golang.org/x/tools/go/ssa"

// move is one slot copied on an edge.
type move struct {
	dst, src int32
	ptr      bool
}

// moves lists what an edge has to copy into the phis of its target.
func (g *gen) moves(from, to *ssa.BasicBlock) (out []move) {
	g.eachPhi(from, to, func(phi *ssa.Phi, e ssa.Value) {
		if g.isConst(e) {
			return
		}
		dst, src, l := g.dst(phi), g.at(e), g.layout(phi)
		for i := range int32(l.nS) {
			if dst.s+i != src.s+i {
				out = append(out, move{dst.s + i, src.s + i, false})
			}
		}
		for i := range int32(l.nP) {
			if dst.p+i != src.p+i {
				out = append(out, move{dst.p + i, src.p + i, true})
			}
		}
	})
	return out
}

func (g *gen) eachPhi(from, to *ssa.BasicBlock, f func(*ssa.Phi, ssa.Value)) {
	if !hasPhis(to) {
		return
	}
	k := -1
	for i, p := range to.Preds {
		if p == from {
			k = i
			break
		}
	}
	for _, in := range to.Instrs {
		phi, ok := in.(*ssa.Phi)
		if !ok {
			return
		}
		f(phi, phi.Edges[k])
	}
}

// edgeConsts reports whether an edge sets phis to constants.
func (g *gen) edgeConsts(from, to *ssa.BasicBlock) (found bool) {
	g.eachPhi(from, to, func(_ *ssa.Phi, e ssa.Value) { found = found || g.isConst(e) })
	return found
}

// edge emits the copies of an edge. All happen at once, so that a copy waits
// for those that read its target; a cycle is opened with a scratch slot.
func (g *gen) edge(from, to *ssa.BasicBlock) {
	g.tmpS, g.tmpP = g.nS, g.nP
	g.parallel(g.moves(from, to))
	g.eachPhi(from, to, func(phi *ssa.Phi, e ssa.Value) {
		if !g.isConst(e) {
			return
		}
		if c, ok := g.m.constant(e); ok {
			g.constInto(c, g.dst(phi))
			return
		}
		g.copySlots(g.dst(phi), g.at(e), g.layout(phi))
	})
}

func (g *gen) parallel(todo []move) {
	for len(todo) > 0 {
		progress := false
		for i := 0; i < len(todo); i++ {
			mv := todo[i]
			if blocked(todo, i) {
				continue
			}
			g.move(mv)
			todo = append(todo[:i], todo[i+1:]...)
			progress = true
			i--
		}
		if progress {
			continue
		}
		// Every target is still read: save one and read the copy instead.
		mv := todo[0]
		var tmp int32
		if mv.ptr {
			tmp = g.scratchP(1)
		} else {
			tmp = g.scratchS(1)
		}
		g.move(move{tmp, mv.dst, mv.ptr})
		for i := range todo {
			if todo[i].ptr == mv.ptr && todo[i].src == mv.dst {
				todo[i].src = tmp
			}
		}
	}
}

// blocked reports whether the target of todo[i] is read by another move.
func blocked(todo []move, i int) bool {
	for j, o := range todo {
		if j != i && o.ptr == todo[i].ptr && o.src == todo[i].dst {
			return true
		}
	}
	return false
}

func (g *gen) move(mv move) {
	if mv.ptr {
		g.moveP(mv.dst, mv.src)
	} else {
		g.moveS(mv.dst, mv.src)
	}
}

func hasPhis(b *ssa.BasicBlock) bool {
	_, ok := b.Instrs[0].(*ssa.Phi)
	return ok
}
