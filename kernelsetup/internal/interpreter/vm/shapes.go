package vm

import (
	"go/types"
	"reflect"

	"golang.org/x/tools/go/ssa"
)

// shape names layouts that have instructions of their own: adjacent words.
func shape(l *layout) string {
	if len(l.comps) < 2 || len(l.comps) > 3 {
		if len(l.comps) == 0 {
			return ""
		}
		return "other"
	}
	var b [3]byte
	for i, c := range l.comps {
		if c.off != l.comps[0].off+uintptr(i)*8 {
			return "other"
		}
		switch c.kind {
		case memPtr:
			b[i] = 'P'
		case mem64:
			b[i] = 'S'
		default:
			return "other"
		}
	}
	return string(b[:len(l.comps)])
}

// indexOp returns the load instruction for an element of a slice, 0 if none.
func indexOp(l *layout) opcode {
	if len(l.comps) == 1 {
		switch c := l.comps[0]; c.kind {
		case memU8:
			if c.size == 0 && isWhole(l, 1) {
				return opIxU8
			}
		case memI32:
			if isWhole(l, 4) {
				return opIxI32
			}
		case mem64:
			if isWhole(l, 8) {
				return opIx64
			}
		case memPtr:
			if isWhole(l, 8) {
				return opIxP
			}
		}
	}
	switch u := l.typ.Underlying().(type) {
	case *types.Basic:
		if u.Info()&types.IsString != 0 {
			return opIxStr
		}
	case *types.Slice:
		return opIxSlice
	}
	return 0
}

// isWhole reports whether the one slot is all there is of the type.
func isWhole(l *layout, size uintptr) bool {
	switch l.typ.Underlying().(type) {
	case *types.Struct, *types.Array:
		return l.rt != nil && l.rt.Size() == size && l.comps[0].off == 0
	}
	return true
}

func intBits(b *types.Basic) int {
	switch b.Kind() {
	case types.Int8, types.Uint8:
		return 8
	case types.Int16, types.Uint16:
		return 16
	case types.Int32, types.Uint32, types.UntypedRune:
		return 32
	}
	return 64
}

// intType describes an integer type.
type intType struct {
	bits   int
	signed bool
}

func intTypeOf(b *types.Basic) intType {
	return intType{intBits(b), b.Info()&types.IsUnsigned == 0}
}

func isEmptyInterface(t types.Type) bool {
	i, ok := t.Underlying().(*types.Interface)
	return ok && i.NumMethods() == 0
}

func isUnsigned(t types.Type) bool {
	b, ok := t.Underlying().(*types.Basic)
	return ok && b.Info()&types.IsUnsigned != 0
}

func isUnsignedValue(v ssa.Value) bool { return v != nil && isUnsigned(v.Type()) }

func hasPointers(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Bool, reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64,
		reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Uintptr,
		reflect.Float32, reflect.Float64, reflect.Complex64, reflect.Complex128:
		return false
	case reflect.Array:
		return t.Len() > 0 && hasPointers(t.Elem())
	case reflect.Struct:
		for i := range t.NumField() {
			if hasPointers(t.Field(i).Type) {
				return true
			}
		}
		return false
	}
	return true
}

func isUnsafe(t types.Type) bool {
	b, ok := t.(*types.Basic)
	return ok && b.Kind() == types.UnsafePointer
}
