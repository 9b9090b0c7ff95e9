package rtype

import (
	"go/types"
	"reflect"
	"slices"
	"strings"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// makeInterface forges the type of an unnamed interface. The binary keeps no
// list of its own ones; Bind makes them known.
func (r *Registry) makeInterface(t *types.Interface) (reflect.Type, error) {
	if !t.IsMethodSet() {
		return nil, notAtRunTime(t)
	}
	var str strings.Builder
	str.WriteString("interface {")
	methods := interfaceMethods(t)
	sigs := make([]reflect.Type, len(methods))
	for i, m := range methods {
		mt, err := r.get(m.Signature())
		if err != nil {
			return nil, err
		}
		sigs[i] = mt
		if i > 0 {
			str.WriteByte(';')
		}
		str.WriteByte(' ')
		if !m.Exported() {
			str.WriteString(m.Pkg().Name() + ".")
		}
		str.WriteString(m.Name() + strings.TrimPrefix(mt.String(), "func"))
	}
	str.WriteString(" }")
	if rt, ok := r.types.At(t).(reflect.Type); ok {
		return rt, nil // made by a method's type
	}
	for _, rt := range r.unnamed[str.String()] {
		if sameMethods(rt, methods, sigs) {
			return rt, nil
		}
	}
	f, err := r.forge(t, t, str.String(), false, false)
	if err != nil {
		return nil, err
	}
	r.addUnnamed(str.String(), f.self.typ.Reflect())
	return f.self.typ.Reflect(), r.completeInterface(f.self, t, nil)
}

func sameMethods(rt reflect.Type, methods []*types.Func, sigs []reflect.Type) bool {
	if rt.Kind() != reflect.Interface || rt.NumMethod() != len(methods) {
		return false
	}
	for i, m := range methods {
		have := rt.Method(i)
		if have.Name != m.Name() || have.Type != sigs[i] || !m.Exported() && have.PkgPath != m.Pkg().Path() {
			return false
		}
	}
	return true
}

// completeInterface fills in the methods; pkg is a named interface's package.
func (r *Registry) completeInterface(b block, t *types.Interface, pkg *types.Package) error {
	it := (*abi.InterfaceType)(unsafe.Pointer(b.typ))
	it.PkgPath = abi.Name{}
	if pkg != nil {
		it.PkgPath = abi.NewName(pkg.Path(), "", false, false, 0)
	}
	var methods []abi.Imethod
	for _, m := range interfaceMethods(t) {
		mt, err := r.get(m.Signature())
		if err != nil {
			return err
		}
		methods = append(methods, abi.Imethod{Name: methodName(m, pkg), Typ: abi.NewTypeOff(abi.Of(mt))})
	}
	it.Methods = methods
	return nil
}

// interfaceMethods returns all methods of t in the runtime's order.
func interfaceMethods(t *types.Interface) []*types.Func {
	ms := make([]*types.Func, t.NumMethods())
	for i := range ms {
		ms[i] = t.Method(i)
	}
	slices.SortFunc(ms, compareMethods)
	return ms
}

// compareMethods orders as the compiler does (cmd/compile/internal/types,
// CompareSyms): exported ones first, then by name, then by package.
func compareMethods(a, b *types.Func) int {
	if a.Exported() != b.Exported() {
		return 1 - 2*btoi(a.Exported())
	}
	if c := strings.Compare(a.Name(), b.Name()); c != 0 || a.Exported() {
		return c
	}
	return strings.Compare(a.Pkg().Path(), b.Pkg().Path())
}

// methodName registers a method's name; one that is not exported carries its
// package unless that is the type's own.
func methodName(m *types.Func, pkg *types.Package) abi.NameOff {
	var path abi.NameOff
	if !m.Exported() && (pkg == nil || pkg.Path() != m.Pkg().Path()) {
		path = abi.NewNameOff(m.Pkg().Path(), false, 0)
	}
	return abi.NewNameOff(m.Name(), m.Exported(), path)
}
