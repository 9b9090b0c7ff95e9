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

	mu  sync.Mutex
	sel *types.Selection
}

// resolve returns the interpreter's function.
func (m *method) resolve() (unsafe.Pointer, error) {
	if impl := atomic.LoadPointer(&m.impl); impl != nil {
		return impl, nil
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.r.methods == nil {
		return nil, errors.New("the registry was made without a MethodSource")
	}
	impl, err := m.r.methods.Method(m.sel)
	if err == nil && impl == nil {
		err = errors.New("no function")
	}
	if err != nil {
		return nil, fmt.Errorf("method %s of %s: %w", m.sel.Obj().Name(), m.sel.Recv(), err)
	}
	atomic.StorePointer(&m.impl, impl)
	return impl, nil
}

// rebind makes the next call ask the MethodSource again, for sel unless nil.
func (m *method) rebind(sel *types.Selection) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if sel != nil {
		m.sel = sel
	}
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
		return methodCaller{}.Call(unsafe.Pointer(m), args)
	})
	setStub(stub, abi.FuncPointer(fv))
	return m, nil
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
		m, err := r.newMethod(sel, ptr, sig)
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
		m, err := r.newMethod(sel, self, sig)
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
