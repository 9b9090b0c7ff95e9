package vm

import (
	"io"
	"reflect"
	"unsafe"
)

// Window gives a Native its parameters and takes its results.
type Window struct {
	m        *Machine
	sig      *sigLayout
	s, p     unsafe.Pointer
	recv     unsafe.Pointer
	isMethod bool // reached through an interface: the receiver is in recv
}

// windowOf is that of a call of t's.
func windowOf(t *Thread, sig *sigLayout, s, p unsafe.Pointer, isMethod bool) Window {
	w := Window{m: t.m, sig: sig, s: s, p: p, isMethod: isMethod}
	if isMethod {
		w.recv = t.recv
	}
	return w
}

// Receiver returns a method's receiver, which is a pointer.
func (w Window) Receiver() unsafe.Pointer {
	if w.isMethod {
		return w.recv
	}
	return *(*unsafe.Pointer)(unsafe.Add(w.p, w.sig.params[0].p*8))
}

func (w Window) at(i int) (s, p unsafe.Pointer) {
	f := w.sig.params[i]
	return unsafe.Add(w.s, f.s*8), unsafe.Add(w.p, f.p*8)
}

// Int returns parameter i, an integer. Receivers count as parameter 0 of
// methods called directly; use Arg to be independent of that.
func (w Window) Int(i int) int64 {
	s, _ := w.at(w.arg(i))
	return *(*int64)(s)
}

// Pointer returns parameter i, a pointer.
func (w Window) Pointer(i int) unsafe.Pointer {
	_, p := w.at(w.arg(i))
	return *(*unsafe.Pointer)(p)
}

// String returns parameter i, a string.
func (w Window) String(i int) string {
	s, p := w.at(w.arg(i))
	return makeString(*(*unsafe.Pointer)(p), *(*uint64)(s))
}

// Anys returns parameter i, a []any.
func (w Window) Anys(i int) []any {
	s, p := w.at(w.arg(i))
	return unsafe.Slice((*any)(*(*unsafe.Pointer)(p)), *(*int)(s))
}

// Reader returns parameter i, an io.Reader.
func (w Window) Reader(i int) io.Reader {
	_, p := w.at(w.arg(i))
	return *(*io.Reader)(p)
}

// Value returns parameter i.
func (w Window) Value(i int) reflect.Value {
	s, p := w.at(w.arg(i))
	return w.m.value(w.sig.params[w.arg(i)].layout, s, p)
}

// arg turns the number of a parameter, not counting a receiver, into its
// place in the layout.
func (w Window) arg(i int) int {
	if w.hasReceiver() {
		return i + 1
	}
	return i
}

func (w Window) hasReceiver() bool {
	if w.isMethod || len(w.sig.params) == 0 {
		return false
	}
	return w.sig.recv
}

// SetBool sets result i.
func (w Window) SetBool(i int, v bool) {
	*(*uint64)(unsafe.Add(w.s, w.sig.results[i].s*8)) = b2u(v)
}

// SetInt sets result i.
func (w Window) SetInt(i int, v int64) {
	*(*int64)(unsafe.Add(w.s, w.sig.results[i].s*8)) = v
}

// SetPointer sets result i.
func (w Window) SetPointer(i int, v unsafe.Pointer) {
	*(*unsafe.Pointer)(unsafe.Add(w.p, w.sig.results[i].p*8)) = v
}

// Set sets result i.
func (w Window) Set(i int, v reflect.Value) {
	r := w.sig.results[i]
	w.m.setValue(r.layout, v, unsafe.Add(w.s, r.s*8), unsafe.Add(w.p, r.p*8))
}
