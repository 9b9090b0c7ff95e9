package rtype

import (
	"reflect"
	"sync"
	"sync/atomic"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// A Maker makes func values of one type; keep one per signature.
type Maker struct {
	typ  reflect.Type // nil for methods with a fast signature
	call Caller
	make func(h *Maker, impl unsafe.Pointer) unsafe.Pointer // nil: by reflection
}

// thunk is the func value of a signature without a fast literal: stub code
// that jumps to inner, which reflect.MakeFunc made. Its first two words are
// those of a literal's closure.
type thunk struct {
	code  uintptr
	impl  unsafe.Pointer
	h     *Maker
	inner unsafe.Pointer // stubs_*.s: offset 24
}

// literal is what the compiler lays out for the literals of literals.go,
// which capture impl and h in this order; Check proves it.
type literal struct {
	code uintptr
	impl unsafe.Pointer
	h    *Maker
}

// NewMaker returns a maker of func values of the func type t that run through
// call.
func NewMaker(t reflect.Type, call Caller) *Maker {
	h := &Maker{typ: t, call: call}
	if key, ok := funcKey(nil, t); ok {
		h.make = fastLiteral(key)
	}
	return h
}

// Fast reports whether the signature has a fast path (CallWords).
func (h *Maker) Fast() bool { return h.make != nil }

// Func returns a func value, the pointer that a variable of the func type
// holds, that runs impl.
func (h *Maker) Func(impl unsafe.Pointer) unsafe.Pointer {
	if h.make != nil {
		return h.make(h, impl)
	}
	v := reflect.MakeFunc(h.typ, func(args []reflect.Value) []reflect.Value {
		return h.call.Call(impl, args)
	})
	return unsafe.Pointer(&thunk{code: thunkCode, impl: impl, h: h, inner: abi.FuncPointer(v)})
}

type makerKey struct {
	typ  *abi.Type
	call Caller
}

var makers sync.Map // makerKey -> *Maker

// NewFunc is NewMaker and Maker.Func in one, with the maker looked up.
func NewFunc(t reflect.Type, impl unsafe.Pointer, call Caller) unsafe.Pointer {
	key := makerKey{abi.Of(t), call}
	h, ok := makers.Load(key)
	if !ok {
		h, _ = makers.LoadOrStore(key, NewMaker(t, call))
	}
	return h.(*Maker).Func(impl)
}

// FuncImpl tells whether a func value was made here and returns its impl.
func FuncImpl(fv unsafe.Pointer) (impl unsafe.Pointer, ok bool) {
	if fv == nil {
		return nil, false
	}
	if code := (*abi.Closure)(fv).Code; code != thunkCode && !ourCode.has(code) {
		return nil, false
	}
	return (*literal)(fv).impl, true
}

// codeSet is a set of code pointers that only grows, read without locks.
type codeSet struct {
	mu    sync.Mutex
	n     int
	slots [256]uintptr
}

var ourCode codeSet

func (s *codeSet) has(code uintptr) bool {
	for i := codeHash(code); ; i++ {
		switch atomic.LoadUintptr(&s.slots[i%uintptr(len(s.slots))]) {
		case code:
			return true
		case 0:
			return false
		}
	}
}

func (s *codeSet) add(code uintptr) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.has(code) {
		return
	}
	if s.n++; s.n > len(s.slots)/2 {
		panic("rtype: more literals than codeSet has room for")
	}
	i := codeHash(code) % uintptr(len(s.slots))
	for s.slots[i] != 0 {
		i = (i + 1) % uintptr(len(s.slots))
	}
	atomic.StoreUintptr(&s.slots[i], code)
}

// codeHash spreads code pointers, which are multiples of 16 or 32.
func codeHash(code uintptr) uintptr { return (code >> 4) ^ (code >> 14) }
