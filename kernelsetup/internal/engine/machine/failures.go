package machine

import (
	"reflect"
	"runtime"
	"unsafe"
)

// The functions below panic as compiled Go does, by doing the same thing.

func failIndex(i, n int64) {
	var z struct{}
	_ = unsafe.Slice(&z, n)[i]
	panic(runtimeError("index out of range"))
}

func failStringSlice(l, h, n int64) {
	str := unsafe.String((*byte)(unsafe.Pointer(&zeroByte)), n)
	_ = str[l:h]
	panic(runtimeError("slice bounds out of range"))
}

var zeroByte byte

func failSlice(l, h, m, n, c int64, three bool) {
	var z struct{}
	sl := unsafe.Slice(&z, c)[:min(n, c)]
	if three {
		_ = sl[l:h:m]
	} else {
		_ = sl[l:h]
	}
	panic(runtimeError("slice bounds out of range"))
}

func failArraySlice(l, h, m, c int64, three bool) {
	if !three && uint64(h) > uint64(c) {
		// compiled code speaks of the array's length here
		str := unsafe.String((*byte)(unsafe.Pointer(&zeroByte)), c)
		_ = str[l:h]
	}
	failSlice(l, h, m, c, c, three)
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

// typeAssertionError mirrors runtime.TypeAssertionError, so that a failed
// assertion in a cell panics with the very type.
type typeAssertionError struct {
	iface, concrete, asserted unsafe.Pointer
	missing                   string
}

func newTypeAssertionError(iface, concrete, asserted unsafe.Pointer, missing string) error {
	e := new(runtime.TypeAssertionError)
	*(*typeAssertionError)(unsafe.Pointer(e)) = typeAssertionError{iface, concrete, asserted, missing}
	return e
}

func init() {
	if reflect.TypeFor[runtime.TypeAssertionError]().Size() != unsafe.Sizeof(typeAssertionError{}) {
		panic("machine: runtime.TypeAssertionError has changed its layout")
	}
}
