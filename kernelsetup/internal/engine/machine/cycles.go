package machine

import (
	"reflect"
	"slices"
	"sync"
	"sync/atomic"
	"unsafe"
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
	return func(t *Thread, s, p unsafe.Pointer) {
		args := unsafe.Slice((*any)(*pp(p, int32(last.p*8))), *si(s, int32(last.s*8)))
		if copied := t.copyMaps(args); copied != nil {
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

// guardMap is the same for functions that take one value, in their first
// parameter, and follow it themselves with cycles in mind.
func guardMap(f ext, sig *sigLayout) ext {
	at := int32(sig.params[0].p * 8)
	return func(t *Thread, s, p unsafe.Pointer) {
		a := [1]any{anyOf(*pp(p, at), *pp(p, at+8))}
		if copied := t.copyMaps(a[:]); copied != nil {
			*pp(p, at), *pp(p, at+8) = efaceOf(&copied[0]).typ, efaceOf(&copied[0]).data
		}
		f(t, s, p)
	}
}

// copyMaps returns args with maps replaced by copies while other goroutines of
// cells might write to them, which would end the process; nil where there is
// nothing to replace. Maps inside other values are not looked for.
func (t *Thread) copyMaps(args []any) (copied []any) {
	if atomic.LoadInt32(&t.m.runs.live) < 2 {
		return nil
	}
	for i, a := range args {
		v := reflect.ValueOf(a)
		if v.Kind() != reflect.Map || v.Len() == 0 {
			continue
		}
		if copied == nil {
			copied = slices.Clone(args)
		}
		copied[i] = copyMap(v).Interface()
	}
	return copied
}

func copyMap(v reflect.Value) reflect.Value {
	lock := mapLock(v.UnsafePointer())
	lock.Lock()
	defer lock.Unlock()
	out := reflect.MakeMapWithSize(v.Type(), v.Len())
	for it := v.MapRange(); it.Next(); {
		out.SetMapIndex(it.Key(), it.Value())
	}
	return out
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
