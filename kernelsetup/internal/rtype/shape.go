package rtype

import (
	"fmt"
	"go/types"
	"reflect"
	"unsafe"
)

// shaper finds types that lie in memory as others will: same size, alignment,
// pointers for the collector, comparison and kind. What hides behind a
// pointer, slice, map, channel or function does not matter, so that shapes
// are never recursive and can be had before any part of a recursive type.
type shaper struct {
	named func(*types.Named) reflect.Type // compiled types, nil for others
}

var (
	anyType       = reflect.TypeFor[any]()
	errorType     = reflect.TypeFor[error]()
	byteSliceType = reflect.TypeFor[[]byte]()
	pointerType   = reflect.TypeFor[unsafe.Pointer]()
	plainMapType  = reflect.TypeFor[map[int]int]()
	plainFuncType = reflect.TypeFor[func()]()
	plainPtrType  = reflect.TypeFor[*int]()
	plainChanType = reflect.TypeFor[chan int]()
)

// inside returns the shape of t as a part of another type.
func (s *shaper) inside(t types.Type) (reflect.Type, error) {
	switch t := types.Unalias(t).(type) {
	case *types.Named:
		if rt := s.named(t); rt != nil {
			return rt, nil
		}
		return s.inside(t.Underlying())
	case *types.Pointer, *types.Chan:
		return pointerType, nil
	default:
		return s.of(t)
	}
}

// of returns the shape of an underlying type, of t's own kind.
func (s *shaper) of(t types.Type) (reflect.Type, error) {
	switch t := t.(type) {
	case *types.Basic:
		return basic(t)
	case *types.Pointer:
		return plainPtrType, nil
	case *types.Chan:
		return plainChanType, nil
	case *types.Map:
		return plainMapType, nil
	case *types.Signature:
		return plainFuncType, nil
	case *types.Slice:
		return byteSliceType, nil
	case *types.Interface:
		if t.NumMethods() == 0 {
			return anyType, nil
		}
		return errorType, nil
	case *types.Array:
		elem, err := s.inside(t.Elem())
		if err != nil {
			return nil, err
		}
		return reflect.ArrayOf(int(t.Len()), elem), nil
	case *types.Struct:
		fields := make([]reflect.StructField, t.NumFields())
		for i := range fields {
			ft, err := s.inside(t.Field(i).Type())
			if err != nil {
				return nil, err
			}
			fields[i] = reflect.StructField{Name: fmt.Sprintf("F%d", i), Type: ft}
			if t.Field(i).Name() == "_" {
				fields[i].Name, fields[i].PkgPath = "_", "main"
			}
		}
		return reflect.StructOf(fields), nil
	}
	return nil, notAtRunTime(t)
}

func notAtRunTime(t types.Type) error {
	switch t.(type) {
	case *types.TypeParam:
		return fmt.Errorf("%s is a type parameter", t)
	case *types.Tuple:
		return fmt.Errorf("%s is a list of values", t)
	}
	return fmt.Errorf("%s is no type of a value", t)
}

var basics = [...]reflect.Type{
	types.Bool:          reflect.TypeFor[bool](),
	types.Int:           reflect.TypeFor[int](),
	types.Int8:          reflect.TypeFor[int8](),
	types.Int16:         reflect.TypeFor[int16](),
	types.Int32:         reflect.TypeFor[int32](),
	types.Int64:         reflect.TypeFor[int64](),
	types.Uint:          reflect.TypeFor[uint](),
	types.Uint8:         reflect.TypeFor[uint8](),
	types.Uint16:        reflect.TypeFor[uint16](),
	types.Uint32:        reflect.TypeFor[uint32](),
	types.Uint64:        reflect.TypeFor[uint64](),
	types.Uintptr:       reflect.TypeFor[uintptr](),
	types.Float32:       reflect.TypeFor[float32](),
	types.Float64:       reflect.TypeFor[float64](),
	types.Complex64:     reflect.TypeFor[complex64](),
	types.Complex128:    reflect.TypeFor[complex128](),
	types.String:        reflect.TypeFor[string](),
	types.UnsafePointer: pointerType,
}

func basic(t *types.Basic) (reflect.Type, error) {
	if d, ok := types.Default(t).(*types.Basic); ok {
		t = d
	}
	if k := t.Kind(); k >= 0 && int(k) < len(basics) && basics[k] != nil {
		return basics[k], nil
	}
	return nil, notAtRunTime(t)
}
