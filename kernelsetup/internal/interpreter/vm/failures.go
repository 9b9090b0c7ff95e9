package vm

import (
	"go/token"
	"reflect"
	"runtime"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// The functions below panic as compiled Go does, by doing the same thing.

// boundsError is the type of errors like "index out of range [5] with length
// 3", which package runtime keeps to itself.
var boundsError = func() reflect.Type {
	var t reflect.Type
	func() {
		defer func() { t = reflect.TypeOf(recover()) }()
		_ = make([]int, opaque(1))[opaque(2)]
	}()
	return t
}()

// newBoundsError returns such an error: x was used where y is the limit.
func newBoundsError(code abi.BoundsErrorCode, x, y int64, unsigned bool) error {
	v := reflect.New(boundsError)
	p := v.UnsafePointer()
	fieldOffset := func(name string) unsafe.Pointer {
		f, ok := boundsError.FieldByName(name)
		if !ok {
			panic("vm: runtime.boundsError has no field " + name)
		}
		return unsafe.Add(p, f.Offset)
	}
	*(*int64)(fieldOffset("x")) = x
	*(*int)(fieldOffset("y")) = int(y)
	*(*bool)(fieldOffset("signed")) = !unsigned
	*(*uint8)(fieldOffset("code")) = uint8(code)
	return v.Elem().Interface().(error)
}

func failIndex(i, n int64) { panic(newBoundsError(abi.BoundsIndex, i, n, false)) }

func failIndexUnsigned(i, n int64) { panic(newBoundsError(abi.BoundsIndex, i, n, true)) }

// sliceBounds tells which of the bounds of a slice expression were unsigned.
type sliceBounds struct{ lo, hi, max bool }

func failStringSlice(l, h, n int64, u sliceBounds) {
	if uint64(h) > uint64(n) {
		panic(newBoundsError(abi.BoundsSliceAlen, h, n, u.hi))
	}
	panic(newBoundsError(abi.BoundsSliceB, l, h, u.lo))
}

// failSlice is for slices and arrays: of an array the length is reported, of
// a slice the capacity.
func failSlice(l, h, m, c int64, three, array bool, u sliceBounds) {
	code := abi.BoundsSliceAcap
	if array {
		code = abi.BoundsSliceAlen
	}
	switch {
	case !three && uint64(h) > uint64(c):
		panic(newBoundsError(code, h, c, u.hi))
	case !three:
		panic(newBoundsError(abi.BoundsSliceB, l, h, u.lo))
	case uint64(m) > uint64(c):
		panic(newBoundsError(code+abi.BoundsSlice3Alen-abi.BoundsSliceAlen, m, c, u.max))
	case uint64(h) > uint64(m):
		panic(newBoundsError(abi.BoundsSlice3B, h, m, u.hi))
	}
	panic(newBoundsError(abi.BoundsSlice3C, l, h, u.lo))
}

func failNil() {
	var p *int
	*opaquePtr(p) = 1
}

//go:noinline
func opaquePtr(p *int) *int { return p }

func failDivide() {
	_ = 1 / opaque(0)
}

func failShift() {
	_ = 1 << opaque(-1)
}

func failNilMap() {
	var m map[int]int
	m[0] = 1
}

// runtimeError is an error of the run time that package runtime has no
// exported way to make.
type runtimeError string

var _ runtime.Error = runtimeError("")

func (runtimeError) RuntimeError() {}

// Error returns the message as package runtime words it.
func (e runtimeError) Error() string { return "runtime error: " + string(e) }

// newTypeAssertionError makes the very type that a failed assertion in compiled
// code panics with.
func newTypeAssertionError(iface, concrete, asserted unsafe.Pointer, missing string) error {
	e := new(runtime.TypeAssertionError)
	*(*abi.TypeAssertionError)(unsafe.Pointer(e)) = abi.TypeAssertionError{
		Interface: (*abi.Type)(iface), Concrete: (*abi.Type)(concrete), Asserted: (*abi.Type)(asserted), MissingMethod: missing}
	return e
}

//go:noinline
func opaque(n int) int { return n }

// failMake is for make with a constant capacity, which ssa turns into a slice
// of a new array.
func failMake(n int64) {
	if n < 0 {
		_ = make([]byte, opaque(-1))
	}
	_ = make([]byte, 0, opaque(-1))
}

func checkArrayLen(have, want int64) {
	if have < want {
		panic(newBoundsError(abi.BoundsConvert, want, have, false)) // the wanted length comes first
	}
}

// maxAlloc is beyond any address space.
const maxAlloc = 1 << 47

// fatalText is what the run time would end the program with.
type fatalText string

func (f fatalText) Error() string { return string(f) }

// buildError is a program that cannot be run; it ends the making of code.
type buildError struct {
	msg string
	pos token.Pos
}

func (e *buildError) Error() string { return e.msg }

// Trespass is the panic of a cell's code on a closed goroutine: a fault of
// the program around the machine.
type Trespass struct{}

func (Trespass) Error() string {
	return "code of a cell was called on a goroutine of the kernel itself"
}
