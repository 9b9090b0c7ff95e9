package machine

import (
	"go/types"
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

// What a cell has in memory are Go's own values as Go lays them out, so that
// most of package unsafe means in a cell what it means when compiled. An
// integer is where it ends: the collector does not see an address in the
// frame's scalar slots, and what it points to may be gone.

// convertUnsafe emits a conversion from or to unsafe.Pointer.
func (g *gen) convertUnsafe(v, x ssa.Value, dst loc) {
	switch from, to := x.Type().Underlying(), v.Type().Underlying(); {
	case isPointerLike(from) && isPointerLike(to):
		g.into(x, dst)
	case isUnsafe(from): // to uintptr
		xp, ds := g.pOf(x), dst.s*8
		g.ext(func(t *Thread, s, p unsafe.Pointer) { *su(s, ds) = uint64(uintptr(*pp(p, xp))) })
	default:
		g.fail("a number cannot be made an unsafe.Pointer in a cell: its memory may be gone; unsafe.Add moves a pointer")
	}
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
	default:
		g.fail("unsafe.%s of a type parameter cannot be run in a cell", name)
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
	case signed && int64(n) < 0, n > 1<<47, size > 0 && n > (1<<47)/uint64(size):
		panic(runtimeError("unsafe." + what + ": len out of range"))
	case at == nil && n > 0:
		panic(runtimeError("unsafe." + what + ": ptr is nil and len is not zero"))
	}
	return n
}
