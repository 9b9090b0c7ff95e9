package vm

import (
	"go/token"
	"go/types"
	"strings"
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

// What a cell has in memory are Go's own values as Go lays them out, so that
// most of package unsafe means in a cell what it means when compiled. An
// integer is where it mostly ends: the collector does not see an address in the
// frame's scalar slots, and what it points to may be gone. Numbers become
// pointers in the patterns that the documentation of package unsafe gives.

// convertUnsafe emits a conversion from or to unsafe.Pointer.
func (g *gen) convertUnsafe(v, x ssa.Value, dst loc) {
	switch from, to := x.Type().Underlying(), v.Type().Underlying(); {
	case isPointerLike(from) && isPointerLike(to):
		g.into(x, dst)
	case isUnsafe(from): // to uintptr
		xp, ds := g.pOf(x), dst.s*8
		g.ext(func(t *Thread, s, p unsafe.Pointer) { *su(s, ds) = uint64(uintptr(*pp(p, xp))) })
	case isAddress(x, 0):
		xs, dp := g.sOf(x), dst.p*8
		g.ext(func(t *Thread, s, p unsafe.Pointer) { *pp(p, dp) = unsafe.Add(nil, int(*si(s, xs))) })
	default:
		g.fail("a number cannot be made an unsafe.Pointer in a cell: its memory may be gone; unsafe.Add moves a pointer")
	}
}

// isAddress reports whether a number is an address by one of the patterns of
// package unsafe, whose memory something in the frame still holds: a pointer
// moved by arithmetic (3), what a call has just returned (4, 5), the Data of a
// slice's or string's header (6). A constant is no memory of ours.
func isAddress(v ssa.Value, depth int) bool {
	switch v := v.(type) {
	case *ssa.Const, *ssa.Call:
		return true
	case *ssa.Extract:
		_, ok := v.Tuple.(*ssa.Call)
		return ok
	case *ssa.Convert, *ssa.ChangeType:
		x := v.(ssa.Instruction).Operands(nil)[0]
		return isUnsafe((*x).Type().Underlying()) || depth < 8 && isAddress(*x, depth+1)
	case *ssa.BinOp:
		return depth < 8 && (isAddress(v.X, depth+1) && !isConst(v.X) || isAddress(v.Y, depth+1) && !isConst(v.Y))
	case *ssa.UnOp: // the load of a field
		f, ok := v.X.(*ssa.FieldAddr)
		return ok && isHeader(f.X.Type().Underlying().(*types.Pointer).Elem(), f.Field)
	case *ssa.Field:
		return isHeader(v.X.Type(), v.Field)
	}
	return false
}

func isConst(v ssa.Value) bool {
	_, ok := v.(*ssa.Const)
	return ok
}

// isHeader reports whether a field is the Data of reflect's SliceHeader or
// StringHeader.
func isHeader(t types.Type, field int) bool {
	n, ok := types.Unalias(t).(*types.Named)
	return ok && n.Obj().Pkg() != nil && n.Obj().Pkg().Path() == "reflect" && strings.HasSuffix(n.Obj().Name(), "Header") && field == 0
}

func isPointerLike(t types.Type) bool {
	_, ok := t.(*types.Pointer)
	return ok || isUnsafe(t)
}

// unsafeBuiltin emits a call of one of package unsafe's functions.
func (g *gen) unsafeBuiltin(name string, args []ssa.Value, dst loc) {
	ds, dp := dst.s*8, dst.p*8
	switch name {
	case "Add":
		xp, n := g.pOf(args[0]), g.sOf(args[1])
		g.ext(func(t *Thread, s, p unsafe.Pointer) { *pp(p, dp) = unsafe.Add(*pp(p, xp), int(*si(s, n))) })
	case "SliceData", "StringData":
		xp := g.pOf(args[0])
		g.ext(func(t *Thread, s, p unsafe.Pointer) { *pp(p, dp) = *pp(p, xp) })
	case "String":
		xp, n, signed := g.pOf(args[0]), g.sOf(args[1]), isSigned(args[1].Type())
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			length := checkedLength("String", *pp(p, xp), *su(s, n), signed, 1)
			*pp(p, dp), *su(s, ds) = *pp(p, xp), length
		})
	case "Slice":
		size := g.elemSize(g.m.layoutOf(elemType(args[0].Type())))
		xp, n, signed := g.pOf(args[0]), g.sOf(args[1]), isSigned(args[1].Type())
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			length := checkedLength("Slice", *pp(p, xp), *su(s, n), signed, size)
			*pp(p, dp), *su(s, ds), *su(s, ds+8) = *pp(p, xp), length, length
		})
	case "Sizeof":
		g.constInto(slotValues{s: []uint64{uint64(g.m.rtype(g.m.layoutOf(args[0].Type())).Size())}}, dst)
	case "Alignof":
		g.constInto(slotValues{s: []uint64{uint64(g.m.rtype(g.m.layoutOf(args[0].Type())).Align())}}, dst)
	case "Offsetof":
		off, ok := g.offset(args[0])
		if !ok {
			g.fail("unsafe.Offsetof of this expression cannot be run in a cell")
		}
		g.constInto(slotValues{s: []uint64{uint64(off)}}, dst)
	default:
		g.fail("unsafe.%s of a type parameter cannot be run in a cell", name)
	}
}

// offset is what unsafe.Offsetof means for the field that a value is. The
// embedded structs that its selector leaves out count; they have the position
// of the whole selector, which is before that of their own name.
func (g *gen) offset(v ssa.Value) (off uintptr, ok bool) {
	if load, is := v.(*ssa.UnOp); is {
		v = load.X
	}
	for name := token.NoPos; ; {
		var x ssa.Value
		var t types.Type
		var field int
		switch f := v.(type) {
		case *ssa.FieldAddr:
			x, t, field = f.X, f.X.Type().Underlying().(*types.Pointer).Elem(), f.Field
		case *ssa.Field:
			x, t, field = f.X, f.X.Type(), f.Field
		default:
			return off, ok
		}
		if ok {
			s := t.Underlying().(*types.Struct).Field(field)
			if !s.Embedded() || v.Pos()+token.Pos(len(s.Name())+1) == name {
				return off, ok // named in the selector before the dot
			}
		}
		off += g.m.rtype(g.m.layoutOf(t)).Field(field).Offset
		name, v, ok = v.Pos(), x, true
	}
}

func isSigned(t types.Type) bool {
	b, ok := t.Underlying().(*types.Basic)
	return ok && b.Info()&types.IsUnsigned == 0
}

// checkedLength panics as compiled code does where so many elements cannot lie
// at a pointer.
func checkedLength(what string, at unsafe.Pointer, n uint64, signed bool, size uintptr) uint64 {
	switch {
	case signed && int64(n) < 0, n > 1<<47, size > 0 && n > (1<<47)/uint64(size),
		at != nil && n*uint64(size) > -uint64(uintptr(at)): // beyond the last address
		panic(runtimeError("unsafe." + what + ": len out of range"))
	case at == nil && n > 0:
		panic(runtimeError("unsafe." + what + ": ptr is nil and len is not zero"))
	}
	return n
}
