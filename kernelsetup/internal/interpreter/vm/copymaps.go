package vm

import (
	"encoding"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"unsafe"
)

// copyMaps returns args with maps replaced by copies, wherever in them these
// are, while other goroutines of cells might write to them: the run time would
// end the process. It returns nil where there is nothing to replace.
func (t *Thread) copyMaps(args []any, c mapCopier) (copied []any) {
	if !t.beside() {
		return nil
	}
	for i := range args {
		if args[i] == nil || !toMaps.from(reflect.TypeOf(args[i])) {
			continue
		}
		if copied == nil {
			copied = slices.Clone(args)
		}
		c.replace(reflect.ValueOf(&copied[i]).Elem(), -1) // fmt counts from the value in it
	}
	return copied
}

// Snapshot returns v with copies in place of its maps while goroutines of
// cells live that might write to them.
func (m *Machine) Snapshot(v reflect.Value) reflect.Value {
	if m.Alone() || !v.IsValid() || !toMaps.from(v.Type()) {
		return v
	}
	out := reflect.New(v.Type()).Elem()
	out.Set(v)
	(&mapCopier{methods: true}).replace(out, 0)
	return out
}

// mapCopier replaces maps by copies. Values that word themselves are left
// alone: their methods are code of cells, which minds the locks.
type mapCopier struct {
	pointers bool // follow them at any depth, not only at the top
	methods  bool // leave all types with methods alone, but for maps
	done     map[copiedKey]reflect.Value
}

// copiedKey is a map, pointer or slice that has been copied.
type copiedKey struct {
	t   reflect.Type
	p   unsafe.Pointer
	len int
}

// maxCopyDepth bounds how deep maps are looked for.
const maxCopyDepth = 1000

// replace replaces the maps in v, which can be set. What v shares with the
// value it was copied from is copied first.
func (c *mapCopier) replace(v reflect.Value, depth int) {
	t := v.Type()
	if depth > maxCopyDepth || !toMaps.from(t) || wordsItself(t) || c.methods && t.NumMethod() > 0 && t.Kind() != reflect.Map && t.Kind() != reflect.Interface {
		return
	}
	switch t.Kind() {
	case reflect.Map:
		c.once(v, v.UnsafePointer(), 0, func(remember func(reflect.Value)) {
			out := copyMap(v)
			remember(out)
			if !toMaps.from(t.Elem()) {
				return
			}
			elem := reflect.New(t.Elem()).Elem()
			for _, k := range out.MapKeys() {
				if e := out.MapIndex(k); e.IsValid() { // not so for NaN
					elem.Set(e)
					c.replace(elem, depth+1)
					out.SetMapIndex(k, elem)
				}
			}
		})
	case reflect.Interface:
		if v.IsNil() || !toMaps.from(v.Elem().Type()) {
			return
		}
		in := reflect.New(v.Elem().Type()).Elem()
		in.Set(v.Elem())
		c.replace(in, depth+1)
		v.Set(in)
	case reflect.Pointer:
		if !c.pointers && depth > 0 {
			return
		}
		c.once(v, v.UnsafePointer(), 0, func(remember func(reflect.Value)) {
			out := reflect.New(t.Elem())
			word := out.UnsafePointer()
			remember(reflect.NewAt(t, unsafe.Pointer(&word)).Elem())
			out.Elem().Set(v.Elem())
			c.replace(out.Elem(), depth+1)
		})
	case reflect.Slice:
		c.once(v, v.UnsafePointer(), v.Len(), func(remember func(reflect.Value)) {
			out := reflect.MakeSlice(t, v.Len(), v.Len())
			remember(out)
			reflect.Copy(out, v)
			for i := range out.Len() {
				c.replace(out.Index(i), depth+1)
			}
		})
	case reflect.Array:
		for i := range v.Len() {
			c.replace(v.Index(i), depth+1)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Field(i); toMaps.from(f.Type()) {
				c.replace(reflect.NewAt(f.Type(), f.Addr().UnsafePointer()).Elem(), depth+1)
			}
		}
	}
}

// once sets v to a copy of what it refers to, made at the first encounter;
// nil stays.
func (c *mapCopier) once(v reflect.Value, p unsafe.Pointer, n int, make func(remember func(reflect.Value))) {
	if v.IsNil() {
		return
	}
	key := copiedKey{v.Type(), p, n}
	if _, ok := c.done[key]; !ok {
		if c.done == nil {
			c.done = map[copiedKey]reflect.Value{}
		}
		make(func(out reflect.Value) { c.done[key] = out })
	}
	v.Set(c.done[key])
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

var wording = []reflect.Type{reflect.TypeFor[fmt.Stringer](), reflect.TypeFor[error](), reflect.TypeFor[fmt.Formatter](),
	reflect.TypeFor[fmt.GoStringer](), reflect.TypeFor[json.Marshaler](), reflect.TypeFor[encoding.TextMarshaler]()}

// wordsItself reports whether values of a type have a method that printing or
// encoding calls.
func wordsItself(t reflect.Type) bool {
	if t.Kind() == reflect.Interface || t.NumMethod() == 0 {
		return false
	}
	return slices.ContainsFunc(wording, t.Implements)
}
