package rtype

import (
	"errors"
	"fmt"
	"go/token"
	"go/types"
	"reflect"
	"runtime/debug"
	"sync"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// Check proves at start, once, that types, closures and stubs lie in memory as
// this kernel takes for granted: first by reading what the compiler laid out
// (abi.Check), then by forging a type of each kind and using it from compiled
// code. Nothing of this package may be used when it fails.
func Check() error { return check() }

var check = sync.OnceValue(func() (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%v", p)
		}
		if err != nil {
			err = fmt.Errorf("cells cannot be run: %w; build the kernel again by make, which takes a Go release that it is fitted to", err)
		}
	}()
	for _, step := range []func() error{abi.Check, checkStubs, checkLiterals, checkForged, checkKinds} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
})

// checkStubs reads the numbers from the first and last stubs' code.
func checkStubs() error {
	for _, i := range []int{0, 1, 255, Stubs - 1} {
		code := unsafe.Add(stubsBase, uintptr(i)*stubsStride)
		if n := stubNumber(code); n != i {
			return fmt.Errorf("stub %d has the code of stub %d", i, n)
		}
	}
	if used := StackUsed(); used == 0 || used > 1<<30 {
		return fmt.Errorf("the stack is said to use %d bytes", used)
	}
	return nil
}

// checkLiterals makes sure that closures capture impl and then the maker.
func checkLiterals() error {
	h, impl := &Maker{}, unsafe.Pointer(new(int))
	for _, i := range []int{0, len(fastLiterals) / 2, len(fastLiterals) - 1} {
		l := (*literal)(fastLiterals[i].make(h, impl))
		if l.impl != impl || l.h != h {
			return errors.New("a closure's variables lie in another order")
		}
	}
	return nil
}

// checkCaller answers the calls of checkForged.
type checkCaller struct{}

func (checkCaller) Method(*types.Selection) (unsafe.Pointer, error) {
	return unsafe.Pointer(new(int)), nil
}

func (checkCaller) Call(_ unsafe.Pointer, args []reflect.Value) []reflect.Value {
	return []reflect.Value{reflect.ValueOf(args[0].Field(0).String())}
}

func (checkCaller) CallWords(_ unsafe.Pointer, w *Words) {
	s := (*string)(w.A.P[0]) // the first field
	w.R.P[0], w.R.N[1] = unsafe.Pointer(unsafe.StringData(*s)), uint64(len(*s))
}

// probe is the go/types form of
//
//	type probe struct { s string; next *probe; all map[string][]probe }
//	func (probe) String() string
func probe() *types.Named {
	pkg := types.NewPackage("main", "main")
	named := types.NewNamed(types.NewTypeName(token.NoPos, pkg, "probe", nil), nil, nil)
	str := types.Typ[types.String]
	named.SetUnderlying(types.NewStruct([]*types.Var{
		types.NewField(token.NoPos, pkg, "s", str, false),
		types.NewField(token.NoPos, pkg, "next", types.NewPointer(named), false),
		types.NewField(token.NoPos, pkg, "all", types.NewMap(str, types.NewSlice(named)), false),
	}, nil))
	result := types.NewTuple(types.NewVar(token.NoPos, pkg, "", str))
	recv := types.NewVar(token.NoPos, pkg, "p", named)
	named.AddMethod(types.NewFunc(token.NoPos, pkg, "String", types.NewSignatureType(recv, nil, nil, nil, result, false)))
	return named
}

// checkForged forges probe and looks at it through reflect and an interface.
func checkForged() error {
	rt, err := New(nil, checkCaller{}, checkCaller{}).Type(probe())
	if err != nil {
		return err
	}
	switch {
	case rt.String() != "main.probe" || rt.Name() != "probe" || rt.PkgPath() != "main":
		return fmt.Errorf("a type's name reads %s", rt)
	case rt.Kind() != reflect.Struct || rt.NumField() != 3 || rt.Size() != 32:
		return fmt.Errorf("a struct reads as %s of %d bytes", rt.Kind(), rt.Size())
	case rt.Field(1).Type != reflect.PointerTo(rt) || rt.Field(2).Type.Elem().Elem() != rt || rt.Field(1).Name != "next":
		return errors.New("a struct's fields are lost")
	case rt.NumMethod() != 1 || rt.Method(0).Name != "String" || rt.Method(0).Type.NumIn() != 1:
		return errors.New("a type's methods are lost")
	}
	v := reflect.New(rt)
	(*(*string)(v.UnsafePointer())) = "forged"
	for _, x := range []any{v.Interface(), v.Elem().Interface()} {
		s, ok := x.(fmt.Stringer)
		if !ok || s.String() != "forged" {
			return errors.New("a method is not found by an interface")
		}
	}
	if got := rt.Method(0).Func.Call([]reflect.Value{v.Elem()})[0].String(); got != "forged" {
		return errors.New("a method is not found by its number")
	}
	return nil
}
