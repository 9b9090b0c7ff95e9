package vm

import (
	"go/types"
	"unsafe"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// bound reads an optional bound of a slice expression.
func (g *gen) bound(v ssa.Value) int32 {
	if v == nil {
		return -1
	}
	return g.sOf(v)
}

func (g *gen) slice(v *ssa.Slice) {
	lo, hi, limit := g.bound(v.Low), g.bound(v.High), g.bound(v.Max)
	signs := sliceBounds{isUnsignedValue(v.Low), isUnsignedValue(v.High), isUnsignedValue(v.Max)}
	x, dst := g.at(v.X), g.dst(v)
	xs, xp, ds, dp := x.s*8, x.p*8, dst.s*8, dst.p*8
	switch u := v.X.Type().Underlying().(type) {
	case *types.Basic:
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			n := *si(s, xs)
			l, h := int64(0), n
			if lo >= 0 {
				l = *si(s, lo)
			}
			if hi >= 0 {
				h = *si(s, hi)
			}
			if uint64(h) > uint64(n) || uint64(l) > uint64(h) {
				failStringSlice(l, h, n, signs)
			}
			at := *pp(p, xp)
			if h > l {
				at = unsafe.Add(at, l)
			}
			*pp(p, dp) = at
			*si(s, ds) = h - l
		})
	case *types.Slice:
		size := g.elemSize(g.m.layoutOf(u.Elem()))
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			n, c := *si(s, xs), *si(s, xs+8)
			l, h, m := int64(0), n, c
			if lo >= 0 {
				l = *si(s, lo)
			}
			if hi >= 0 {
				h = *si(s, hi)
			}
			if limit >= 0 {
				m = *si(s, limit)
			}
			if uint64(m) > uint64(c) || uint64(h) > uint64(m) || uint64(l) > uint64(h) {
				failSlice(l, h, m, c, limit >= 0, false, signs)
			}
			at := *pp(p, xp)
			if m > l {
				at = unsafe.Add(at, uintptr(l)*size)
			}
			*pp(p, dp) = at
			*si(s, ds), *si(s, ds+8) = h-l, m-l
		})
	case *types.Pointer:
		arr := u.Elem().Underlying().(*types.Array)
		size := g.elemSize(g.m.layoutOf(arr.Elem()))
		c := arr.Len()
		a, ok := v.X.(*ssa.Alloc)
		made := ok && a.Comment == "makeslice"
		g.emit(opCheck, 0, xp, 0, 0)
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			l, h, m := int64(0), c, c
			if lo >= 0 {
				l = *si(s, lo)
			}
			if hi >= 0 {
				h = *si(s, hi)
			}
			if limit >= 0 {
				m = *si(s, limit)
			}
			if uint64(m) > uint64(c) || uint64(h) > uint64(m) || uint64(l) > uint64(h) {
				if made {
					failMake(h)
				}
				failSlice(l, h, m, c, limit >= 0, true, signs)
			}
			at := *pp(p, xp)
			if m > l {
				at = unsafe.Add(at, uintptr(l)*size)
			}
			*pp(p, dp) = at
			*si(s, ds), *si(s, ds+8) = h-l, m-l
		})
	default:
		g.fail("internal: slice of %s", v.X.Type())
	}
}

func (g *gen) makeSlice(v *ssa.MakeSlice) {
	el := g.m.layoutOf(elemType(v.Type()))
	word, size := g.m.typeWord(el), g.elemSize(el)
	n, c := g.sOf(v.Len), g.sOf(v.Cap)
	ds, dp := g.dst(v).s*8, g.dst(v).p*8
	m := g.m
	lenUnsigned, capUnsigned := isUnsigned(v.Len.Type()), isUnsigned(v.Cap.Type())
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		ln, cp := *si(s, n), *si(s, c)
		if ln < 0 || lenUnsigned && ln < 0 {
			_ = make([]byte, opaque(-1))
		}
		if cp < 0 || capUnsigned && cp < 0 || cp < ln {
			_ = make([]byte, 0, opaque(-1))
		}
		if size > 0 && uint64(cp) > maxAlloc/uint64(size) {
			if uint64(ln) > maxAlloc/uint64(size) {
				_ = make([]byte, opaque(-1))
			}
			_ = make([]byte, 0, opaque(-1))
		}
		m.reserve(uint64(cp) * uint64(size))
		*pp(p, dp) = abi.UnsafeNewArray(word, int(cp))
		*si(s, ds), *si(s, ds+8) = ln, cp
	})
}

func (g *gen) sliceToArray(v *ssa.SliceToArrayPointer) {
	n := v.Type().Underlying().(*types.Pointer).Elem().Underlying().(*types.Array).Len()
	x := g.at(v.X)
	xs, xp, dp := x.s*8, x.p*8, g.dst(v).p*8
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		checkArrayLen(*si(s, xs), n)
		*pp(p, dp) = *pp(p, xp)
	})
}

func (g *gen) sliceToArrayValue(x, v ssa.Value, dst loc) {
	l := g.layout(v)
	n := v.Type().Underlying().(*types.Array).Len()
	at := g.at(x)
	xs, xp, dp := at.s*8, at.p*8, dst.p*8
	word := g.m.typeWord(l)
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		checkArrayLen(*si(s, xs), n)
		box := abi.UnsafeNew(word)
		if n > 0 {
			abi.Typedmemmove(word, box, *pp(p, xp))
		}
		*pp(p, dp) = box
	})
}
