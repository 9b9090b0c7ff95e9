// Package snapshot writes the values of variables as bytes and sets variables
// of another process from these. What is plain is numbers, texts, and slices,
// arrays, structs, maps, pointers and interfaces of what is plain; what two
// values share they share afterwards. No method of a value is called.
package snapshot

import (
	"fmt"
	"reflect"
	"strings"
	"sync"
	"time"
	"unsafe"
)

// plan is what has to be known of a type to walk over its values in memory.
type plan struct {
	t      reflect.Type
	kind   reflect.Kind
	size   uintptr
	flat   bool // neither pointers nor texts: copied as it is
	refuse string
	lock   bool  // a lock or the like: plain while nobody uses it
	elem   *plan // of pointers, slices, arrays, and maps
	key    *plan
	n      int
	fields []field
}

type field struct {
	off uintptr
	*plan
}

var (
	plansMu sync.Mutex
	plans   = map[reflect.Type]*plan{}
)

func planOf(t reflect.Type) *plan {
	plansMu.Lock()
	defer plansMu.Unlock()
	return makePlan(t)
}

// Forget lets go of all types that were met.
func Forget() {
	plansMu.Lock()
	defer plansMu.Unlock()
	clear(plans)
}

func makePlan(t reflect.Type) *plan {
	if p, ok := plans[t]; ok {
		return p
	}
	p := &plan{t: t, kind: t.Kind(), size: t.Size()}
	plans[t] = p
	p.refuse = refused(t)
	p.lock = p.kind == reflect.Struct && t.PkgPath() == "sync"
	switch p.kind {
	case reflect.Pointer, reflect.Slice:
		p.elem = makePlan(t.Elem())
	case reflect.Array:
		p.elem, p.n = makePlan(t.Elem()), t.Len()
		p.flat = p.elem.flat
	case reflect.Map:
		p.key, p.elem = makePlan(t.Key()), makePlan(t.Elem())
	case reflect.Struct:
		p.flat = true
		for i := range t.NumField() {
			f := t.Field(i)
			fp := makePlan(f.Type)
			p.fields = append(p.fields, field{f.Offset, fp})
			p.flat = p.flat && fp.flat
		}
	case reflect.Interface, reflect.String, reflect.Chan, reflect.Func, reflect.UnsafePointer:
	default:
		p.flat = true
	}
	if p.refuse != "" || p.lock {
		p.flat = false
	}
	return p
}

// bound are packages whose values belong to a process: files, connections,
// running things.
var bound = []string{"os", "net", "context", "syscall", "runtime", "reflect", "internal", "database/sql", "plugin", "testing", "log", "bufio", "io"}

// refused says why values of a type can't live in another process, empty where
// they may.
func refused(t reflect.Type) string {
	path := t.PkgPath()
	if path == "" || t.Kind() == reflect.Interface {
		return ""
	}
	for _, b := range bound {
		if path == b || strings.HasPrefix(path, b+"/") {
			if t.Kind() == reflect.Struct {
				return "its " + t.String() + " belongs to one process"
			}
		}
	}
	switch t.String() {
	case "time.Timer", "time.Ticker":
		return "its " + t.String() + " belongs to one process"
	}
	return ""
}

// must be the same in the other process: their addresses mean something.
var fixed = []unsafe.Pointer{unsafe.Pointer(time.Local), unsafe.Pointer(time.UTC)}

var locationType = reflect.TypeFor[time.Location]()

// fixedNumber returns which of the fixed places a pointer leads to, from 1; 0
// is none.
func fixedNumber(p *plan, to unsafe.Pointer) int {
	if p.t != locationType {
		return 0
	}
	for i, f := range fixed {
		if f == to {
			return i + 1
		}
	}
	return 0
}

// Describe writes a type so that its reader can find it by the names in it.
// It fails for types that have none and hold such.
func Describe(t reflect.Type) (string, bool) {
	var b strings.Builder
	ok := describe(&b, t)
	return b.String(), ok
}

func describe(b *strings.Builder, t reflect.Type) bool {
	if t.Name() != "" {
		if strings.ContainsAny(t.Name(), "[·") {
			return false
		}
		if t.PkgPath() == "" {
			fmt.Fprintf(b, "%s;", t.Name())
		} else {
			fmt.Fprintf(b, "%s %s;", t.Name(), t.PkgPath())
		}
		return true
	}
	switch t.Kind() {
	case reflect.Pointer:
		b.WriteByte('*')
		return describe(b, t.Elem())
	case reflect.Slice:
		b.WriteByte('[')
		return describe(b, t.Elem())
	case reflect.Array:
		fmt.Fprintf(b, "#%d;", t.Len())
		return describe(b, t.Elem())
	case reflect.Map:
		b.WriteByte('%')
		return describe(b, t.Key()) && describe(b, t.Elem())
	case reflect.Interface:
		b.WriteByte('?')
		return t.NumMethod() == 0
	case reflect.Struct:
		fmt.Fprintf(b, "{%d;", t.NumField())
		for i := range t.NumField() {
			f := t.Field(i)
			if !f.IsExported() || f.Anonymous || f.Tag != "" {
				return false
			}
			fmt.Fprintf(b, "%s;", f.Name)
			if !describe(b, f.Type) {
				return false
			}
		}
		return true
	}
	return false
}
