package vm

import (
	"go/types"
	"reflect"
	"sync/atomic"
	"unsafe"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// Holdings is what a walk over the values of variables finds of code and types
// that cells have declared.
type Holdings struct {
	// Func is called for each function that a value holds: a declared one, a
	// function literal, or a method bound to its receiver.
	Func func(*ssa.Function)
	// Type is called for the type of each value that an interface holds.
	// stale tells that the type has got other methods since the value was
	// made.
	Type func(t types.Type, stale bool)
	// Renew gives values that interfaces hold the methods that their types
	// have got since.
	Renew bool
	// Most bounds how many values are looked at.
	Most int

	m       *Machine
	seen    map[held]bool
	shared  bool // other goroutines may be writing
	renewed int
}

type held struct {
	t reflect.Type
	p unsafe.Pointer
}

// Look walks over the value of a variable. It reports whether it has seen all
// of it.
func (h *Holdings) Look(m *Machine, g *ssa.Global) bool {
	h.m, h.shared = m, !m.Alone()
	if h.seen == nil {
		h.seen = map[held]bool{}
	}
	v, err := m.Global(g)
	if err != nil {
		return true
	}
	return h.at(v.Type(), v.Addr().UnsafePointer())
}

// at looks at a value in memory.
func (h *Holdings) at(t reflect.Type, p unsafe.Pointer) bool {
	if p == nil || !toCode.from(t) || h.seen[held{t, p}] {
		return true
	}
	if h.Most--; h.Most < 0 {
		return false
	}
	h.seen[held{t, p}] = true
	switch t.Kind() {
	case reflect.Func:
		return h.function(*(*unsafe.Pointer)(p))
	case reflect.Pointer:
		return h.at(t.Elem(), *(*unsafe.Pointer)(p))
	case reflect.Interface:
		own, ok := h.copied(t, p)
		if !ok || own.IsNil() {
			return true
		}
		return h.dynamic(t, p, own)
	case reflect.Slice:
		own, ok := h.copied(t, p)
		if !ok {
			return true
		}
		all := true
		for i := range own.Len() {
			all = h.at(t.Elem(), own.Index(i).Addr().UnsafePointer()) && all
		}
		return all
	case reflect.Array:
		all := true
		for i := range t.Len() {
			all = h.at(t.Elem(), unsafe.Add(p, uintptr(i)*t.Elem().Size())) && all
		}
		return all
	case reflect.Struct:
		all := true
		for i := range t.NumField() {
			f := t.Field(i)
			all = h.at(f.Type, unsafe.Add(p, f.Offset)) && all
		}
		return all
	case reflect.Map:
		return h.mapAt(reflect.NewAt(t, p).Elem())
	}
	return true
}

// copied copies a value of several words. While goroutines run that might be
// writing it, it is read until it stays the same; a value that does not is left
// alone.
func (h *Holdings) copied(t reflect.Type, p unsafe.Pointer) (reflect.Value, bool) {
	n := int(t.Size() / unsafe.Sizeof(uintptr(0)))
	from := unsafe.Slice((*uintptr)(p), n)
	for range 3 {
		v := reflect.New(t)
		v.Elem().Set(reflect.NewAt(t, p).Elem())
		if !h.shared {
			return v.Elem(), true
		}
		same := true
		for i, w := range unsafe.Slice((*uintptr)(v.UnsafePointer()), n) {
			same = same && atomic.LoadUintptr(&from[i]) == w
		}
		if same {
			return v.Elem(), true
		}
	}
	return reflect.Value{}, false
}

// dynamic looks at what an interface at p holds; own is a copy of it.
func (h *Holdings) dynamic(t reflect.Type, p unsafe.Pointer, own reflect.Value) bool {
	rt := own.Elem().Type()
	if typ := h.m.types.TypeOf(rt); typ != nil {
		now, err := h.m.types.Type(typ)
		stale := err == nil && now != rt
		if stale && h.Renew && h.renew(t, p, rt, now) {
			stale = false
		}
		if h.Type != nil {
			h.Type(typ, stale)
		}
	}
	if !toCode.from(rt) {
		return true
	}
	data := unsafe.Slice((*unsafe.Pointer)(own.Addr().UnsafePointer()), 2)
	if rtype.IsDirect(rt) {
		return h.at(rt, unsafe.Pointer(&data[1]))
	}
	return h.at(rt, data[1])
}

// renew makes the value in an interface one of the type as it is now. In memory
// it looks the same, so that a goroutine may write the interface meanwhile.
func (h *Holdings) renew(t reflect.Type, p unsafe.Pointer, old, now reflect.Type) bool {
	was, word := rtype.TypePtr(old), rtype.TypePtr(now)
	if t.NumMethod() > 0 {
		was, word = rtype.Itab(t, old), rtype.Itab(t, now)
	}
	if was == nil || word == nil || !atomic.CompareAndSwapPointer((*unsafe.Pointer)(p), was, word) {
		return false
	}
	h.renewed++
	return true
}

func (h *Holdings) mapAt(v reflect.Value) bool {
	if v.IsNil() || h.seen[held{v.Type(), v.UnsafePointer()}] {
		return true
	}
	h.seen[held{v.Type(), v.UnsafePointer()}] = true
	if h.shared {
		v = copyMap(v)
	}
	t, all := v.Type(), true
	for it := v.MapRange(); it.Next(); {
		if h.Most <= 0 {
			return false
		}
		h.Most--
		k, e := reflect.New(t.Key()), reflect.New(t.Elem())
		k.Elem().Set(it.Key())
		e.Elem().Set(it.Value())
		renew := h.Renew
		h.Renew = false // a map would not find its keys again
		all = h.at(t.Key(), k.UnsafePointer()) && all
		h.Renew = renew && !h.shared
		before := h.renewed
		all = h.at(t.Elem(), e.UnsafePointer()) && all
		if h.renewed > before {
			v.SetMapIndex(it.Key(), e.Elem())
		}
		h.Renew = renew
	}
	return all
}

// function looks at a func value and at what it has captured.
func (h *Holdings) function(fv unsafe.Pointer) bool {
	impl, ok := rtype.FuncImpl(fv)
	if !ok {
		return true
	}
	if h.seen[held{nil, impl}] {
		return true
	}
	h.seen[held{nil, impl}] = true
	cl := (*Closure)(impl)
	if cl.fn == nil {
		return true
	}
	fn := cl.fn.function()
	if fn == nil {
		return true
	}
	if h.Func != nil {
		h.Func(fn)
	}
	all := true
	for _, v := range h.m.captured(cl) {
		own := reflect.New(v.Type())
		own.Elem().Set(v)
		all = h.at(v.Type(), own.UnsafePointer()) && all
	}
	return all
}

// captured returns the free variables of a closure: mostly pointers to them.
func (m *Machine) captured(cl *Closure) (out []reflect.Value) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var err error
	defer catchBuildError(&err)
	s, p := 0, 0
	for _, fv := range cl.fn.function().FreeVars {
		l := m.layoutOf(fv.Type())
		if s+l.nS > len(cl.s) || p+l.nP > len(cl.p) {
			return out
		}
		out = append(out, m.value(l, slotAt(cl.s, s), slotAt(cl.p, p)))
		s, p = s+l.nS, p+l.nP
	}
	return out
}

func slotAt[T any](list []T, i int) unsafe.Pointer {
	if i >= len(list) {
		return nil
	}
	return unsafe.Pointer(&list[i])
}
