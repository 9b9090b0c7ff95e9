package snapshot

import (
	"encoding/binary"
	"errors"
	"fmt"
	"reflect"
	"unsafe"
)

// ErrDamaged is the error of data that Write has not written, or for other
// types.
var ErrDamaged = errors.New("what was saved can't be read")

// reader reads one group.
type reader struct {
	in     []byte
	typeOf func(string) (reflect.Type, error)
	places []place
	queue  []int
	maps   []pendingMap
	// early are references into regions whose type is not known yet.
	early []reference
}

// place is where a region lies now.
type place struct {
	at unsafe.Pointer
	p  *plan
	n  int
}

type reference struct {
	to  unsafe.Pointer // where the pointer is to be put
	r   int
	off uintptr
}

// Read sets variables, in the order of the group's names, to the values in its
// data. typeOf finds the types that Describe has written. It fails, and may
// have set some of them, where data and variables do not fit.
func Read(data []byte, vars []reflect.Value, typeOf func(string) (reflect.Type, error)) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%w: %v", ErrDamaged, r)
		}
	}()
	r := &reader{in: data, typeOf: typeOf}
	var homes []int
	for _, v := range vars {
		if v.Type().Size() == 0 {
			homes = append(homes, -1)
		} else {
			homes = append(homes, r.number())
		}
	}
	n := r.number()
	if n > len(data)+len(vars) {
		return ErrDamaged
	}
	r.places = make([]place, n)
	for i, v := range vars {
		if h := homes[i]; h >= 0 {
			r.places[h] = place{v.Addr().UnsafePointer(), planOf(v.Type()), 1}
			r.queue = append(r.queue, h)
		}
	}
	for q, m := 0, 0; q < len(r.queue) || m < len(r.maps); {
		if q < len(r.queue) {
			r.region(r.places[r.queue[q]])
			q++
		} else {
			r.entries(r.maps[m])
			m++
		}
	}
	for _, e := range r.early {
		*(*unsafe.Pointer)(e.to) = r.address(e.r, e.off)
	}
	if len(r.in) > 0 {
		return ErrDamaged
	}
	return nil
}

func (r *reader) number() int {
	n, size := binary.Uvarint(r.in)
	if size <= 0 || n > 1<<47 {
		panic("a number is missing")
	}
	r.in = r.in[size:]
	return int(n)
}

func (r *reader) bytes(n uintptr) []byte {
	b := r.in[:n:n]
	r.in = r.in[n:]
	return b
}

func (r *reader) address(n int, off uintptr) unsafe.Pointer {
	p := r.places[n]
	if p.at == nil || off > p.p.size*uintptr(p.n) {
		panic("a reference leads nowhere")
	}
	return unsafe.Add(p.at, off)
}

func (r *reader) region(p place) {
	if p.p.flat {
		size := p.p.size * uintptr(p.n)
		copy(unsafe.Slice((*byte)(p.at), size), r.bytes(size))
		return
	}
	for i := range p.n {
		r.value(p.p, unsafe.Add(p.at, uintptr(i)*p.p.size))
	}
}

// refer reads a reference to values of p and puts the pointer at to.
func (r *reader) refer(tag int, p *plan, to unsafe.Pointer) {
	n, typed := tag/2, tag%2 == 1
	off := uintptr(r.number())
	if typed {
		count := r.number()
		if p.size > 0 && uintptr(count) > uintptr(1<<40)/p.size {
			panic("a size is wrong")
		}
		if r.places[n].at == nil {
			r.places[n] = place{reflect.MakeSlice(reflect.SliceOf(p.t), count, count).UnsafePointer(), p, count}
		}
		r.queue = append(r.queue, n)
	}
	if r.places[n].at == nil {
		r.early = append(r.early, reference{to, n, off})
		return
	}
	*(*unsafe.Pointer)(to) = r.address(n, off)
}

func (r *reader) value(p *plan, at unsafe.Pointer) {
	switch {
	case p.flat:
		copy(unsafe.Slice((*byte)(at), p.size), r.bytes(p.size))
	case p.kind == reflect.String:
		*(*string)(at) = string(r.bytes(uintptr(r.number())))
	case p.lock:
	case p.kind == reflect.Struct:
		for _, f := range p.fields {
			r.value(f.plan, unsafe.Add(at, f.off))
		}
	case p.kind == reflect.Array:
		for i := range p.n {
			r.value(p.elem, unsafe.Add(at, uintptr(i)*p.elem.size))
		}
	case p.kind == reflect.Pointer:
		switch tag := r.number(); {
		case tag == 0:
			*(*unsafe.Pointer)(at) = nil
		case tag <= len(fixed):
			*(*unsafe.Pointer)(at) = fixed[tag-1]
		case tag < pointerBase:
			*(*unsafe.Pointer)(at) = reflect.New(p.elem.t).UnsafePointer()
		default:
			r.refer(tag-pointerBase, p.elem, at)
		}
	case p.kind == reflect.Slice:
		h := (*sliceHeader)(at)
		tag := r.number()
		if tag == 0 {
			*h = sliceHeader{}
			return
		}
		if tag == 1 {
			h.data = reflect.MakeSlice(p.t, 0, 0).UnsafePointer()
		} else {
			r.refer(tag-sliceBase, p.elem, unsafe.Pointer(&h.data))
		}
		h.len, h.cap = r.number(), r.number()
		if h.len > h.cap {
			panic("a slice is wrong")
		}
	case p.kind == reflect.Map:
		r.aMap(p, at)
	case p.kind == reflect.Interface:
		r.inside(p, at)
	default:
		*(*unsafe.Pointer)(at) = nil
	}
}

func (r *reader) aMap(p *plan, at unsafe.Pointer) {
	n := r.number()
	if n == 0 {
		*(*unsafe.Pointer)(at) = nil
		return
	}
	if n > len(r.maps)+1 {
		panic("a map is missing")
	}
	if n == len(r.maps)+1 {
		r.maps = append(r.maps, pendingMap{p, reflect.MakeMap(p.t)})
	}
	m := r.maps[n-1]
	if m.p != p && !m.v.Type().ConvertibleTo(p.t) {
		panic("a map is of another type")
	}
	*(*unsafe.Pointer)(at) = m.v.UnsafePointer()
}

func (r *reader) entries(m pendingMap) {
	for range r.number() {
		key, elem := reflect.New(m.p.key.t), reflect.New(m.p.elem.t)
		early := len(r.early)
		r.value(m.p.key, key.UnsafePointer())
		r.value(m.p.elem, elem.UnsafePointer())
		if len(r.early) > early {
			panic("a map refers to what comes later")
		}
		m.v.SetMapIndex(key.Elem(), elem.Elem())
	}
}

func (r *reader) inside(p *plan, at unsafe.Pointer) {
	n := r.number()
	to := reflect.NewAt(p.t, at).Elem()
	if n == 0 {
		to.SetZero()
		return
	}
	t, err := r.typeOf(string(r.bytes(uintptr(n))))
	if err != nil {
		panic(err.Error())
	}
	box := reflect.New(t)
	early := len(r.early)
	r.value(planOf(t), box.UnsafePointer())
	if len(r.early) > early {
		panic("an interface refers to what comes later")
	}
	to.Set(box.Elem())
}
