package vm

import (
	"reflect"
	"strings"
	"sync"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// printers are the packages whose functions follow a value to its end, however
// deep it is: one that contains itself would overflow the stack and so end the
// process.
var printers = map[string]bool{"fmt": true, "log": true, "log/slog": true}

// maxNesting is how deep a value may be that is printed.
const maxNesting = 100_000

// guardNesting makes f refuse arguments of type ...any that are too deep.
func guardNesting(f ext, sig *sigLayout) ext {
	if !sig.variadic {
		return f
	}
	last := sig.params[len(sig.params)-1]
	format := len(sig.params) > 1 && sig.params[len(sig.params)-2].layout.rt.Kind() == reflect.String
	return func(t *Thread, s, p unsafe.Pointer) {
		args := unsafe.Slice((*any)(*pp(p, int32(last.p*8))), *si(s, int32(last.s*8)))
		if copied := t.copyMaps(args, mapCopier{}); copied != nil && !(format && printsAddress(s, p, &sig.params[len(sig.params)-2])) {
			*pp(p, int32(last.p*8)) = unsafe.Pointer(unsafe.SliceData(copied))
			args = copied
		}
		for _, a := range args {
			if a != nil && nests(reflect.TypeOf(a)) && tooDeep(reflect.ValueOf(a), 0) {
				panic(fatalText("fatal error: stack overflow: the value contains itself, printing it would never end"))
			}
		}
		f(t, s, p)
	}
}

// printsAddress reports whether a format, in the given parameter, asks for
// addresses: then nothing may be copied.
func printsAddress(s, p unsafe.Pointer, format *fieldSlots) bool {
	return strings.Contains(makeString(*pp(p, int32(format.p*8)), *su(s, int32(format.s*8))), "%p")
}

// guardMap is the same for functions that take one value, in the given
// parameter, and follow it themselves with cycles in mind.
func guardMap(f ext, sig *sigLayout, param int) ext {
	at := int32(sig.params[param].p * 8)
	return func(t *Thread, s, p unsafe.Pointer) {
		a := [1]any{abi.Any(*pp(p, at), *pp(p, at+8))}
		if copied := t.copyMaps(a[:], mapCopier{pointers: true}); copied != nil {
			*pp(p, at), *pp(p, at+8) = abi.WordsOf(&copied[0]).Type, abi.WordsOf(&copied[0]).Data
		}
		f(t, s, p)
	}
}

var nesting sync.Map // reflect.Type -> bool

// nests reports whether values of a type can hold values of any depth without
// a pointer between: fmt prints pointers inside values as addresses.
func nests(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Map, reflect.Slice, reflect.Array, reflect.Struct, reflect.Pointer, reflect.Interface:
	default:
		return false
	}
	if n, ok := nesting.Load(t); ok {
		return n.(bool)
	}
	n := canNest(t, map[reflect.Type]bool{})
	nesting.Store(t, n)
	return n
}

func canNest(t reflect.Type, open map[reflect.Type]bool) bool {
	if open[t] {
		return true
	}
	switch t.Kind() {
	case reflect.Interface:
		return true
	case reflect.Map, reflect.Slice, reflect.Array, reflect.Pointer:
		open[t] = true
		defer delete(open, t)
		return canNest(t.Elem(), open)
	case reflect.Struct:
		open[t] = true
		defer delete(open, t)
		for i := range t.NumField() {
			if canNest(t.Field(i).Type, open) {
				return true
			}
		}
	}
	return false
}

// tooDeep reports whether fmt would follow v beyond maxNesting. Each step
// takes one branch as deep as it goes, so that what is wide costs its size.
func tooDeep(v reflect.Value, depth int) bool {
	if depth > maxNesting {
		return true
	}
	switch v.Kind() {
	case reflect.Interface:
		return !v.IsNil() && nests(v.Elem().Type()) && tooDeep(v.Elem(), depth+1)
	case reflect.Pointer:
		return depth == 0 && !v.IsNil() && tooDeep(v.Elem(), depth+1)
	case reflect.Map:
		if !nests(v.Type().Elem()) {
			return false
		}
		for it := v.MapRange(); it.Next(); {
			if tooDeep(it.Value(), depth+1) {
				return true
			}
		}
	case reflect.Slice, reflect.Array:
		if !nests(v.Type().Elem()) {
			return false
		}
		for i := range v.Len() {
			if tooDeep(v.Index(i), depth+1) {
				return true
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if nests(v.Field(i).Type()) && tooDeep(v.Field(i), depth+1) {
				return true
			}
		}
	}
	return false
}
