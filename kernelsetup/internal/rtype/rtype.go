// Package rtype gives types and functions that exist only in an interpreter a
// real existence in the running program: a go/types type becomes a
// reflect.Type with methods that compiled code can call, and an interpreted
// closure becomes a func value.
//
// fmt, encoding/json, sort, errors.As, type assertions and method tables
// treat such a type exactly as one the compiler made: %T prints main.T, and a
// String method is found in slices, maps and struct fields too.
//
// The package writes memory in the runtime's own layouts (layout.go) and jumps
// through a table of assembly stubs (stubs_*.s). Check must succeed before
// anything else is used.
package rtype

import (
	"fmt"
	"go/types"
	"reflect"
	"sync"
	"unsafe"

	"golang.org/x/tools/go/types/typeutil"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// Caller runs the interpreter's functions. impl is what NewFunc or
// MethodSource was given; it is opaque here and kept alive by the func value.
//
// A panic of the interpreted function passes through as a Go panic.
// Both methods may be called from any goroutine, and again while they run.
type Caller interface {
	// Call runs impl with args and returns its results, whose types must be
	// exactly the signature's. For a method the receiver is args[0]. Args
	// must be copied before they are changed; a variadic parameter comes as
	// its slice.
	Call(impl unsafe.Pointer, args []reflect.Value) []reflect.Value
	// CallWords is the fast path for common signatures: it reads parameters
	// from w.A and must write the results to w.R. w is lent until it
	// returns and must not be kept.
	CallWords(impl unsafe.Pointer, w *Words)
}

// Words carries the parameters and results of one fast call word by word, as
// they lie in registers: each value's words after those of the value before,
// numbers of floating point counted apart. For a method the receiver is the
// first parameter.
//
//	bool, integers       N; of a narrow one the other bits are rubbish
//	pointer, map, chan,
//	func, unsafe.Pointer P
//	string               P data, N length
//	slice                P data, N length, N capacity
//	interface            P type word (itab, or type for an empty interface), P data
//	float64              F
//	float32              F holds its 32 bits; the others are rubbish
//
// Word i of R is in P or N; what is not written is zero.
type Words struct {
	A Params
	R Results
}

// Limits of the fast path: words of parameters and of results, numbers of
// floating point not counted, and those.
const (
	maxParams       = 7
	maxParamFloats  = 4
	maxResults      = 5
	maxResultFloats = 2
)

// Params are the words of a call's parameters.
type Params struct {
	P [maxParams]unsafe.Pointer
	N [maxParams]uint64
	F [maxParamFloats]float64
}

// Results are the words of its results.
type Results struct {
	P [maxResults]unsafe.Pointer
	N [maxResults]uint64
	F [maxResultFloats]float64
}

// MethodSource finds the interpreter's function for a method.
type MethodSource interface {
	// Method is called once, at the first call of the method, with a
	// selection from the method set of sel.Recv(), perhaps a promoted one.
	// The function returned takes a value of type sel.Recv() as its first
	// parameter (what ssa.Program.MethodValue returns): for value methods
	// both the one with T and the one with *T are asked for.
	Method(sel *types.Selection) (impl unsafe.Pointer, err error)
}

// Resolver finds types that the compiler made. It returns nil where name is
// not in its tables; compiled tells whether the package is part of the
// binary at all, in which case the binary's type lists are searched for it,
// too. An instantiated generic type is asked for by its full name, as in
// "Pointer[int]".
type Resolver func(pkgPath, name string) (t reflect.Type, compiled bool)

// Registry maps go/types types to run-time types and back. Identical types
// have one reflect.Type; each *types.Named not known to the Resolver is a
// type of its own. It may be used from several goroutines.
type Registry struct {
	resolve Resolver
	methods MethodSource
	call    Caller

	mu     sync.Mutex
	types  typeutil.Map // types.Type -> reflect.Type
	msets  *typeutil.MethodSetCache
	shapes shaper
	undo   []func()     // takes back what the running call of Type entered
	kept   typeutil.Map // methods by receiver, for when the type grows: types.Type -> map[string]*method

	origins   map[*types.TypeName]*types.TypeName // generic types adopted: new -> first
	instances map[string]reflect.Type             // by instanceKey
	unnamed   map[string][]reflect.Type           // forged structs and interfaces by string form

	back  sync.Map // *abi.Type -> types.Type
	bound sync.Map // *abi.Type -> map[string]*method by types.Func.Id
}

// New returns a registry that has forged nothing yet. methods and call may be
// nil where types with methods are never asked for.
func New(resolve Resolver, methods MethodSource, call Caller) *Registry {
	if resolve == nil {
		resolve = func(string, string) (reflect.Type, bool) { return nil, false }
	}
	r := &Registry{
		resolve: resolve, methods: methods, call: call,
		msets:     new(typeutil.MethodSetCache),
		origins:   map[*types.TypeName]*types.TypeName{},
		instances: map[string]reflect.Type{},
		unnamed:   map[string][]reflect.Type{},
	}
	r.shapes.named = r.compiledNamed
	return r
}

// Type returns the run-time type of t, making it and all it refers to where
// needed. It fails for type parameters, tuples and constraint interfaces, for
// types too large, and when the method stubs have run out.
func (r *Registry) Type(t types.Type) (reflect.Type, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if rt, ok := r.types.At(t).(reflect.Type); ok {
		return rt, nil
	}
	r.undo = nil
	rt, err := r.get(t)
	if err != nil {
		for _, undo := range r.undo {
			undo()
		}
		return nil, fmt.Errorf("no run-time type for %s: %w", t, err)
	}
	r.undo = nil
	return rt, nil
}

// TypeOf returns the go/types type for which rt was returned by Type, or
// nil where the registry has not met rt.
func (r *Registry) TypeOf(rt reflect.Type) types.Type {
	if t, ok := r.back.Load(abi.Of(rt)); ok {
		return t.(types.Type)
	}
	return nil
}

// MethodImpl returns the interpreter's function for a method of a forged
// type. rt is the dynamic type as found in an interface (T or *T), id the
// method's types.Func.Id: its name, with the package before it where it is
// not exported. The function takes rt as its first parameter.
func (r *Registry) MethodImpl(rt reflect.Type, id string) (impl unsafe.Pointer, ok bool) {
	return r.MethodImplPtr(unsafe.Pointer(abi.Of(rt)), id)
}

// MethodImplPtr is MethodImpl for a type word (TypePtr).
func (r *Registry) MethodImplPtr(typ unsafe.Pointer, id string) (impl unsafe.Pointer, ok bool) {
	ms, ok := r.bound.Load((*abi.Type)(typ))
	if !ok {
		return nil, false
	}
	m := ms.(map[string]*method)[id]
	if m == nil {
		return nil, false
	}
	impl, err := m.resolve()
	return impl, err == nil
}

// Rebind makes the methods of rt (T or *T) ask the MethodSource again at
// their next call, so that values made before a method was redeclared run the
// new one. Signatures must be unchanged.
func (r *Registry) Rebind(rt reflect.Type) {
	if ms, ok := r.bound.Load(abi.Of(rt)); ok {
		for _, m := range ms.(map[string]*method) {
			m.rebind(nil)
		}
	}
}

// Bind records that the compiled type rt is t, for types that cannot be found
// by name: an unnamed interface in the signature of a compiled function.
func (r *Registry) Bind(t types.Type, rt reflect.Type) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.set(t, rt)
}

// TypePtr returns the type word that an interface holding a rt has.
func TypePtr(rt reflect.Type) unsafe.Pointer { return unsafe.Pointer(abi.Of(rt)) }

// FromPtr is the inverse of TypePtr.
func FromPtr(typ unsafe.Pointer) reflect.Type { return (*abi.Type)(typ).Reflect() }

// Itab returns the first word of a value of the interface type inter, which
// must have methods, that holds a rt; nil where rt lacks a method.
func Itab(inter, rt reflect.Type) unsafe.Pointer {
	if inter.Kind() != reflect.Interface || inter.NumMethod() == 0 {
		return nil
	}
	return abi.Getitab(abi.Of(inter), abi.Of(rt), true)
}

// IsDirect reports whether an interface holds a rt in its data word itself
// and not a pointer to it.
func IsDirect(rt reflect.Type) bool { return abi.Of(rt).TFlag&abi.TFlagDirectIface != 0 }
