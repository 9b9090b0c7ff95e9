package rtype

import (
	"errors"
	"fmt"
	"go/types"
	"reflect"
	"slices"
	"sync"
	"sync/atomic"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// method is one method of a forged type with one kind of receiver, T or *T.
// It is the impl of the func value that its stub jumps to.
type method struct {
	r    *Registry
	stub int
	impl unsafe.Pointer // atomic; nil until the first call
	// What the stub jumps to: the literal for key if fast, else a function
	// that reflect has made for sig.
	key  string
	fast bool
	sig  types.Type

	mu   sync.Mutex
	sel  *types.Selection
	turn int // how often it was bound anew
}

// resolve returns the interpreter's function.
func (m *method) resolve() (unsafe.Pointer, error) {
	if impl := atomic.LoadPointer(&m.impl); impl != nil {
		return impl, nil
	}
	if m.r.methods == nil {
		return nil, errors.New("the registry was made without a MethodSource")
	}
	for {
		m.mu.Lock()
		sel, turn := m.sel, m.turn
		m.mu.Unlock()
		impl, err := m.r.methods.Method(sel) // whose lock may be held by who rebinds
		if err == nil && impl == nil {
			err = errors.New("no function")
		}
		if m.found(impl, turn, err) {
			if err != nil {
				return nil, fmt.Errorf("method %s of %s: %w", sel.Obj().Name(), sel.Recv(), err)
			}
			return impl, nil
		}
	}
}

// found keeps what was found for the method, unless it was bound anew since.
func (m *method) found(impl unsafe.Pointer, turn int, err error) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.turn != turn {
		return false
	}
	if err == nil {
		atomic.StorePointer(&m.impl, impl)
	}
	return true
}

// rebind makes the next call ask the MethodSource again, for sel unless nil.
func (m *method) rebind(sel *types.Selection) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if sel != nil {
		m.sel = sel
	}
	m.turn++
	atomic.StorePointer(&m.impl, nil)
}

// methodCaller is the Caller whose impl is a *method.
type methodCaller struct{}

func (methodCaller) Call(impl unsafe.Pointer, args []reflect.Value) []reflect.Value {
	m := (*method)(impl)
	f, err := m.resolve()
	if err != nil {
		panic(err)
	}
	return m.r.call.Call(f, args)
}

func (methodCaller) CallWords(impl unsafe.Pointer, w *Words) {
	m := (*method)(impl)
	f, err := m.resolve()
	if err != nil {
		panic(err)
	}
	m.r.call.CallWords(f, w)
}

// methodOf returns the method for sel with a receiver of type recv: the one
// that an earlier form of the type has had, which is from now on the method of
// both, or a new one.
func (r *Registry) methodOf(sel *types.Selection, recv, sig reflect.Type) (*method, error) {
	known, _ := r.kept.At(sel.Recv()).(map[string]*method)
	if known == nil {
		known = map[string]*method{}
		r.kept.Set(sel.Recv(), known)
	}
	key, fast := funcKey(recv, sig)
	fast = fast && fastLiteral(key) != nil
	id := sel.Obj().Id()
	// What the stub jumps to knows registers, or types that look the same in
	// memory before and after.
	if m := known[id]; m != nil && m.fast == fast && (fast && m.key == key || !fast && types.Identical(m.sig, sel.Type())) {
		m.rebind(sel)
		return m, nil
	}
	m, err := r.newMethod(sel, recv, sig)
	if err != nil {
		return nil, err
	}
	m.key, m.fast, m.sig = key, fast, sel.Type()
	known[id] = m
	return m, nil
}

// newMethod takes a stub for sel with a receiver of type recv.
func (r *Registry) newMethod(sel *types.Selection, recv, sig reflect.Type) (*method, error) {
	stub, err := takeStub()
	if err != nil {
		return nil, err
	}
	m := &method{r: r, sel: sel, stub: stub}
	if key, ok := funcKey(recv, sig); ok {
		if mk := fastLiteral(key); mk != nil {
			setStub(stub, mk(&Maker{call: methodCaller{}, make: mk}, unsafe.Pointer(m)))
			return m, nil
		}
	}
	in := []reflect.Type{recv}
	for i := range sig.NumIn() {
		in = append(in, sig.In(i))
	}
	out := make([]reflect.Type, sig.NumOut())
	for i := range out {
		out[i] = sig.Out(i)
	}
	fv := reflect.MakeFunc(reflect.FuncOf(in, out, sig.IsVariadic()), func(args []reflect.Value) []reflect.Value {
		results := methodCaller{}.Call(unsafe.Pointer(m), args)
		for i, r := range results {
			if r.Type() != out[i] { // a later form of a type of the signature
				results[i] = inMemoryAs(r, out[i])
			}
		}
		return results
	})
	setStub(stub, abi.FuncPointer(fv))
	return m, nil
}

// inMemoryAs returns v as a value of t, which looks the same in memory.
func inMemoryAs(v reflect.Value, t reflect.Type) reflect.Value {
	at := reflect.New(v.Type())
	at.Elem().Set(v)
	return reflect.NewAt(t, at.UnsafePointer()).Elem()
}

// findMethods lists the method sets of T and *T in the runtime's order.
func (f *forged) findMethods(r *Registry) {
	list := func(t types.Type) []*types.Selection {
		set := r.msets.MethodSet(t)
		sels := make([]*types.Selection, set.Len())
		for i := range sels {
			sels[i] = set.At(i)
		}
		slices.SortFunc(sels, func(a, b *types.Selection) int {
			return compareMethods(a.Obj().(*types.Func), b.Obj().(*types.Func))
		})
		return sels
	}
	f.selfSels = list(f.typ)
	f.ptrSels = list(types.NewPointer(f.typ))
}

// addMethods fills in the method tables of T and *T.
//
// A table has two code pointers for each method: ifn takes the receiver as it
// lies in an interface, tfn as a parameter of its own type. They are the same
// for *T. An interface holds a T by pointer, unless T is pointer-shaped; so
// the ifn of T is the code of *T's method, which copies the receiver first.
func (f *forged) addMethods(r *Registry, pkg *types.Package) error {
	self, ptr := f.self.typ.Reflect(), f.ptr.typ.Reflect()
	direct := f.self.typ.TFlag&abi.TFlagDirectIface != 0
	f.selfBound, f.ptrBind = map[string]*method{}, map[string]*method{}
	code := map[string]abi.TextOff{}
	for i, sel := range f.ptrSels {
		fn := sel.Obj().(*types.Func)
		sig, err := r.get(sel.Type())
		if err != nil {
			return err
		}
		m, err := r.methodOf(sel, ptr, sig)
		if err != nil {
			return err
		}
		text := stubText(m.stub)
		f.ptr.methods[i] = abi.Method{Name: methodName(fn, pkg), Mtyp: abi.NewTypeOff(abi.Of(sig)), Ifn: text, Tfn: text}
		f.ptr.uncom.Xcount += uint16(btoi(fn.Exported()))
		f.ptrBind[fn.Id()] = m
		code[fn.Id()] = text
	}
	for i, sel := range f.selfSels {
		fn := sel.Obj().(*types.Func)
		sig, err := r.get(sel.Type())
		if err != nil {
			return err
		}
		m, err := r.methodOf(sel, self, sig)
		if err != nil {
			return err
		}
		entry := abi.Method{Name: methodName(fn, pkg), Mtyp: abi.NewTypeOff(abi.Of(sig)), Ifn: stubText(m.stub), Tfn: stubText(m.stub)}
		if !direct {
			entry.Ifn = code[fn.Id()]
		}
		f.self.methods[i] = entry
		f.self.uncom.Xcount += uint16(btoi(fn.Exported()))
		f.selfBound[fn.Id()] = m
	}
	if len(f.ptrSels) > 0 {
		r.bound.Store(f.self.typ, f.selfBound)
		r.bound.Store(f.ptr.typ, f.ptrBind)
	}
	return nil
}
