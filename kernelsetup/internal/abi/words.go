package abi

import "unsafe"

// Words are the two words of an empty interface (internal/abi/iface.go,
// EmptyInterface).
type Words struct {
	Type unsafe.Pointer
	Data unsafe.Pointer
}

// WordsOf returns the words of a.
func WordsOf(a *any) *Words { return (*Words)(unsafe.Pointer(a)) }

// Any puts an empty interface together.
func Any(typ, data unsafe.Pointer) any {
	var a any
	*WordsOf(&a) = Words{typ, data}
	return a
}

// ITab is what the first word of an interface with methods points to
// (internal/abi/iface.go).
type ITab struct {
	Inter *InterfaceType
	Type  *Type
	Hash  uint32     // copy of Type.Hash
	Fun   [1]uintptr // code of the methods, as many as Inter has
}

// ItabType returns the dynamic type of an interface with methods from its
// first word, nil for a nil interface.
func ItabType(tab unsafe.Pointer) unsafe.Pointer {
	if tab == nil {
		return nil
	}
	return unsafe.Pointer((*ITab)(tab).Type)
}

// OtherItab returns the first word of an interface, which is tab for the type
// that it holds, for another type; that must have the interface's methods.
func OtherItab(tab, typ unsafe.Pointer) unsafe.Pointer {
	return Getitab((*Type)(unsafe.Pointer((*ITab)(tab).Inter)), (*Type)(typ), false)
}

// ItabCode returns the code of the i-th method of the interface.
func ItabCode(tab unsafe.Pointer, i int) uintptr {
	return *(*uintptr)(unsafe.Add(tab, unsafe.Offsetof(ITab{}.Fun)+uintptr(i)*unsafe.Sizeof(uintptr(0))))
}

// Slice is how a slice lies in memory (runtime/slice.go, slice).
type Slice struct {
	Data     unsafe.Pointer
	Len, Cap int
}

// Closure is how a func value looks: a pointer to a code pointer that the
// captured variables follow.
type Closure struct{ Code uintptr }

// Registers that carry integers and pointers, and floats, in a call
// (internal/abi/abi_amd64.go, abi_arm64.go: at least these).
const (
	IntArgRegs   = 9
	FloatArgRegs = 15
)

// TypeAssertionError mirrors runtime.TypeAssertionError.
type TypeAssertionError struct {
	Interface     *Type
	Concrete      *Type
	Asserted      *Type
	MissingMethod string
}

// BoundsErrorCode says which bound was violated (internal/abi/bounds.go).
type BoundsErrorCode uint8

const (
	BoundsIndex BoundsErrorCode = iota
	BoundsSliceAlen
	BoundsSliceAcap
	BoundsSliceB
	BoundsSlice3Alen
	BoundsSlice3Acap
	BoundsSlice3B
	BoundsSlice3C
	BoundsConvert
)
