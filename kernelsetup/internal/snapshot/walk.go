package snapshot

import (
	"errors"
	"fmt"
	"reflect"
	"runtime/debug"
	"slices"
	"unsafe"
)

// Variable is one to be written: its name and its place.
type Variable struct {
	Name  string
	Value reflect.Value // addressable
}

// Options say how values are written.
type Options struct {
	// Limit is how many bytes there may be in all; the smaller variables go
	// first.
	Limit int
	// Stop is asked from time to time whether to give up.
	Stop func() bool
	// Shared tells that goroutines may be changing the values. Lock then
	// keeps them from a map until unlock is called; where it can't, the map is
	// left alone.
	Shared bool
	Lock   func(m unsafe.Pointer) (unlock func(), ok bool)
}

// Left is a variable that was not written, and why.
type Left struct{ Name, Why string }

// region is a piece of memory that holds n values of a type, one after
// another.
type region struct {
	at   unsafe.Pointer
	p    *plan
	n    int
	home int // the variable whose place it is, −1: of none
	of   int // the variable from which it was found
}

func (r region) bytes() uintptr { return r.p.size * uintptr(r.n) }
func (r region) end() uintptr   { return uintptr(r.at) + r.bytes() }

// found is what is reachable from one variable.
type found struct {
	regions []region
	maps    map[unsafe.Pointer]reflect.Value // to iterate over
	size    int
}

type visit struct {
	at unsafe.Pointer
	p  *plan
	n  int
}

// walker finds what is reachable from a variable.
type walker struct {
	opt  Options
	of   int
	out  found
	seen map[visit]bool
	todo []region
	step int
	// noMaps leaves maps alone.
	noMaps bool
}

var errStopped = errors.New("stopped")

// refusal says why a variable is not plain.
type refusal string

func (r refusal) Error() string { return string(r) }

func (w *walker) variable(v Variable) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if r := recover(); r != nil { // changed while it was looked at
			err = refusal("it was being changed")
		}
	}()
	w.region(region{at: v.Value.Addr().UnsafePointer(), p: planOf(v.Value.Type()), n: 1, home: w.of})
	for len(w.todo) > 0 {
		r := w.todo[len(w.todo)-1]
		w.todo = w.todo[:len(w.todo)-1]
		if r.p.flat {
			continue
		}
		for i := range r.n {
			if err := w.walk(r.p, unsafe.Add(r.at, uintptr(i)*r.p.size)); err != nil {
				return err
			}
		}
	}
	return nil
}

func (w *walker) count(n int) error {
	if w.out.size += n; w.out.size > w.opt.Limit {
		return refusal(fmt.Sprintf("takes more than %d MB", w.opt.Limit>>20))
	}
	return nil
}

// maxRegions bounds the pieces of memory of one variable: each costs more than
// a hundred bytes while it is written.
const maxRegions = 500_000

func (w *walker) region(r region) error {
	if r.p.size == 0 {
		return nil
	}
	key := visit{r.at, r.p, r.n}
	if w.seen[key] {
		return nil
	}
	w.seen[key] = true
	r.of = w.of
	w.out.regions = append(w.out.regions, r)
	w.todo = append(w.todo, r)
	if len(w.out.regions) > maxRegions {
		return refusal("consists of too many pieces")
	}
	return w.count(int(r.bytes()))
}

// header reads a value of some words that another goroutine may be writing.
func header[T comparable](w *walker, p unsafe.Pointer) (T, error) {
	v := *(*T)(p)
	if w.opt.Shared && *(*T)(p) != v {
		return v, refusal("it was being changed")
	}
	return v, nil
}

type sliceHeader struct {
	data     unsafe.Pointer
	len, cap int
}

type stringHeader struct {
	data unsafe.Pointer
	len  int
}

// walk looks at one value.
func (w *walker) walk(p *plan, at unsafe.Pointer) error {
	if w.step++; w.step&1023 == 0 && w.opt.Stop != nil && w.opt.Stop() {
		return errStopped
	}
	if p.refuse != "" {
		return refusal(p.refuse)
	}
	switch {
	case p.flat:
	case p.kind == reflect.String:
		h, err := header[stringHeader](w, at)
		if err != nil {
			return err
		}
		return w.count(h.len)
	case p.lock:
		if !zero(at, p.size) {
			return refusal("its " + p.t.String() + " is in use")
		}
	case p.kind == reflect.Struct:
		for _, f := range p.fields {
			if f.flat {
				continue
			}
			if err := w.walk(f.plan, unsafe.Add(at, f.off)); err != nil {
				return err
			}
		}
	case p.kind == reflect.Array:
		for i := range p.n {
			if err := w.walk(p.elem, unsafe.Add(at, uintptr(i)*p.elem.size)); err != nil {
				return err
			}
		}
	case p.kind == reflect.Pointer:
		to := *(*unsafe.Pointer)(at)
		if to == nil || fixedNumber(p.elem, to) > 0 {
			return nil
		}
		if p.elem.refuse != "" {
			return refusal(p.elem.refuse)
		}
		return w.region(region{at: to, p: p.elem, n: 1, home: -1})
	case p.kind == reflect.Slice:
		h, err := header[sliceHeader](w, at)
		if err != nil || h.cap == 0 {
			return err
		}
		if p.elem.refuse != "" {
			return refusal(p.elem.refuse)
		}
		return w.region(region{at: h.data, p: p.elem, n: h.cap, home: -1})
	case p.kind == reflect.Map:
		return w.aMap(p, at)
	case p.kind == reflect.Interface:
		return w.inside(p, at)
	default: // a channel, a function, an unsafe pointer
		if *(*unsafe.Pointer)(at) != nil {
			return refusal(kindText(p))
		}
	}
	return nil
}

func kindText(p *plan) string {
	switch p.kind {
	case reflect.Chan:
		return "a channel belongs to one process"
	case reflect.Func:
		return "a function value belongs to one process"
	}
	return "an unsafe.Pointer belongs to one process"
}

func zero(at unsafe.Pointer, size uintptr) bool {
	for _, b := range unsafe.Slice((*byte)(at), size) {
		if b != 0 {
			return false
		}
	}
	return true
}

// aMap looks at a map's keys and elements, which are copies: nothing can point
// into it.
func (w *walker) aMap(p *plan, at unsafe.Pointer) error {
	m := *(*unsafe.Pointer)(at)
	if m == nil || w.seen[visit{m, p, 0}] {
		return nil
	}
	w.seen[visit{m, p, 0}] = true
	if w.noMaps {
		return refusal("it was being changed")
	}
	if p.key.refuse != "" || p.elem.refuse != "" {
		return refusal(p.key.refuse + p.elem.refuse)
	}
	v := reflect.NewAt(p.t, at).Elem()
	if w.opt.Shared {
		var err error
		if v, err = w.copied(p, v, m); err != nil {
			return err
		}
	} else {
		if err := w.countMap(p, v); err != nil {
			return err
		}
		held := m
		v = reflect.NewAt(p.t, unsafe.Pointer(&held)).Elem()
	}
	w.out.maps[m] = v
	if p.key.flat && p.elem.flat {
		return nil
	}
	return entries(v, p, func(k, e unsafe.Pointer) error {
		if err := w.walk(p.key, k); err != nil {
			return err
		}
		return w.walk(p.elem, e)
	})
}

// countMap takes a map's keys and elements from what may be saved.
func (w *walker) countMap(p *plan, v reflect.Value) error {
	return w.count(v.Len() * int(p.key.size+p.elem.size))
}

// copied returns a copy of a map, made while nobody writes to it.
func (w *walker) copied(p *plan, v reflect.Value, m unsafe.Pointer) (copied reflect.Value, err error) {
	unlock, ok := w.opt.Lock(m)
	if !ok {
		return v, refusal("it was being changed")
	}
	defer unlock()
	if err := w.countMap(p, v); err != nil {
		return v, err
	}
	out := reflect.New(p.t).Elem()
	out.Set(reflect.MakeMapWithSize(p.t, v.Len()))
	for it := v.MapRange(); it.Next(); {
		out.SetMapIndex(it.Key(), it.Value())
	}
	return out, nil
}

// entries calls f with the places of copies of a map's keys and elements.
func entries(v reflect.Value, p *plan, f func(k, e unsafe.Pointer) error) error {
	key, elem := reflect.New(p.key.t), reflect.New(p.elem.t)
	for it := v.MapRange(); it.Next(); {
		key.Elem().SetIterKey(it)
		elem.Elem().SetIterValue(it)
		if err := f(key.UnsafePointer(), elem.UnsafePointer()); err != nil {
			return err
		}
	}
	return nil
}

// inside looks at the value in an interface.
func (w *walker) inside(p *plan, at unsafe.Pointer) error {
	box, t, err := w.unbox(p, at)
	if err != nil || t == nil {
		return err
	}
	if _, ok := Describe(t); !ok || !nameable(t) {
		return refusal("its " + t.String() + " can't be named outside of its package")
	}
	if err := w.count(int(t.Size()) + 16); err != nil {
		return err
	}
	return w.walk(planOf(t), box)
}

// unbox returns a copy of the value in an interface; without a type it is nil.
func (w *walker) unbox(p *plan, at unsafe.Pointer) (box unsafe.Pointer, t reflect.Type, err error) {
	words, err := header[[2]unsafe.Pointer](w, at)
	if err != nil || words[0] == nil {
		return nil, nil, err
	}
	v := reflect.NewAt(p.t, unsafe.Pointer(&words)).Elem().Elem()
	c := reflect.New(v.Type())
	c.Elem().Set(v)
	return c.UnsafePointer(), v.Type(), nil
}

// nameable reports whether another process can find a type: no package keeps
// it to itself, but that of the cells.
func nameable(t reflect.Type) bool {
	for t.Name() == "" {
		switch t.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Array:
			t = t.Elem()
		case reflect.Map:
			return nameable(t.Key()) && nameable(t.Elem())
		case reflect.Struct:
			for i := range t.NumField() {
				if !nameable(t.Field(i).Type) {
					return false
				}
			}
			return true
		default:
			return true
		}
	}
	if t.PkgPath() == "" || t.PkgPath() == "main" {
		return true
	}
	c := t.Name()[0]
	return c >= 'A' && c <= 'Z'
}

// merge joins pieces of memory that overlap, so that each byte lies in one.
// It returns false where two overlap of which neither holds the other and
// that are of different types.
func merge(all []region) ([]region, bool) {
	slices.SortStableFunc(all, func(a, b region) int {
		switch x, y := uintptr(a.at), uintptr(b.at); {
		case x < y:
			return -1
		case x > y:
			return 1
		case a.end() != b.end():
			return int(b.bytes()) - int(a.bytes()) // the larger one first
		case a.home != b.home:
			return b.home - a.home // a variable's own place first
		}
		return len(b.p.fields) - len(a.p.fields)
	})
	var out []region
	for _, r := range all {
		if len(out) == 0 || uintptr(r.at) >= out[len(out)-1].end() {
			out = append(out, r)
			continue
		}
		last := &out[len(out)-1]
		if r.end() <= last.end() {
			continue
		}
		if r.p != last.p {
			return nil, false
		}
		last.n = int((r.end() - uintptr(last.at)) / r.p.size)
	}
	return out, true
}
