package rtype

import (
	"reflect"
	"unsafe"
)

// The structs of this file mirror Go's own, field for field. Check compares
// them with what reflect reports, so that a release that changes one is
// refused at start instead of corrupting memory.

// abiType mirrors internal/abi/type.go, Type.
type abiType struct {
	size       uintptr
	ptrBytes   uintptr
	hash       uint32
	tflag      uint8
	align      uint8
	fieldAlign uint8
	kind       uint8
	equal      func(unsafe.Pointer, unsafe.Pointer) bool
	gcData     *byte
	str        int32
	ptrToThis  int32
}

// The bits of abiType.tflag: internal/abi/type.go, TFlag.
const (
	flagUncommon        = 1 << 0
	flagExtraStar       = 1 << 1
	flagNamed           = 1 << 2
	flagRegularMemory   = 1 << 3
	flagGCMaskOnDemand  = 1 << 4
	flagDirectInterface = 1 << 5
)

// abiUncommon mirrors internal/abi/type.go, UncommonType. It follows the
// kind's own struct directly in memory.
type abiUncommon struct {
	pkgPath int32
	mcount  uint16
	xcount  uint16
	moff    uint32
	_       uint32
}

// abiMethod mirrors internal/abi/type.go, Method. The array of them starts
// moff bytes after its abiUncommon: exported methods first, each part by name.
type abiMethod struct {
	name int32
	typ  int32
	ifn  int32
	tfn  int32
}

// abiIMethod mirrors internal/abi/type.go, Imethod.
type abiIMethod struct {
	name int32
	typ  int32
}

// abiName mirrors internal/abi/type.go, Name: one byte of flags, then the
// length as a varint and the name, then likewise the tag, then the package
// path as a name offset.
type abiName struct{ bytes *byte }

const (
	nameExported = 1 << 0
	nameTag      = 1 << 1
	namePkgPath  = 1 << 2
	nameEmbedded = 1 << 3
)

// abiField mirrors internal/abi/type.go, StructField.
type abiField struct {
	name   abiName
	typ    *abiType
	offset uintptr
}

// The kinds' structs mirror internal/abi/type.go and internal/abi/map.go.
type (
	abiArray struct {
		abiType
		elem  *abiType
		slice *abiType
		len   uintptr
	}
	abiChan struct {
		abiType
		elem *abiType
		dir  int
	}
	// abiFunc is followed by abiUncommon, where flagged, and then by the
	// parameters' and results' *abiType.
	abiFunc struct {
		abiType
		in  uint16
		out uint16 // top bit: variadic
	}
	abiInterface struct {
		abiType
		pkgPath abiName
		methods []abiIMethod
	}
	abiMap struct {
		abiType
		key       *abiType
		elem      *abiType
		group     *abiType
		hasher    func(unsafe.Pointer, uintptr) uintptr
		groupSize uintptr
		slotSize  uintptr
		elemOff   uintptr
		flags     uint32
	}
	abiPointer struct {
		abiType
		elem *abiType
	}
	abiSlice struct {
		abiType
		elem *abiType
	}
	abiStruct struct {
		abiType
		pkgPath abiName
		fields  []abiField
	}
)

// eface mirrors internal/abi/iface.go, EmptyInterface. reflect.Type values
// have the same two words with an itab in the first and the *abiType in the
// second.
type eface struct {
	typ  *abiType
	data unsafe.Pointer
}

// closure is how a func value looks: a pointer to a code pointer that the
// captured variables follow.
type closure struct{ code uintptr }

// addReflectOff gives memory an offset that the runtime resolves for types
// outside the binary, and keeps the memory alive for good
// (reflect/type.go, runtime/runtime1.go).
//
//go:linkname addReflectOff reflect.addReflectOff
func addReflectOff(unsafe.Pointer) int32

// typesByString returns the binary's own unnamed types of that string form
// (reflect/type.go).
//
//go:linkname typesByString reflect.typesByString
func typesByString(string) []*abiType

// getitab returns the method table of a type for an interface with methods,
// or nil where a method is missing and canFail (runtime/iface.go).
//
//go:linkname getitab runtime.getitab
func getitab(inter, typ *abiType, canFail bool) unsafe.Pointer

// abiOf returns the memory of a type.
func abiOf(t reflect.Type) *abiType {
	return (*abiType)((*[2]unsafe.Pointer)(unsafe.Pointer(&t))[1])
}

// reflectOf is the inverse of abiOf.
func reflectOf(t *abiType) reflect.Type {
	var e any
	(*eface)(unsafe.Pointer(&e)).typ = t
	return reflect.TypeOf(e)
}

// newName encodes a name; the pkgPath offset is added where it is not 0.
func newName(name, tag string, exported, embedded bool, pkgPath int32) abiName {
	var flags byte
	if exported {
		flags |= nameExported
	}
	if embedded {
		flags |= nameEmbedded
	}
	b := appendCounted([]byte{flags}, name)
	if tag != "" {
		b[0] |= nameTag
		b = appendCounted(b, tag)
	}
	if pkgPath != 0 {
		b[0] |= namePkgPath
		off := (*[4]byte)(unsafe.Pointer(&pkgPath))
		b = append(b, off[:]...)
	}
	return abiName{&b[0]}
}

func appendCounted(b []byte, s string) []byte {
	n := len(s)
	for ; n >= 0x80; n >>= 7 {
		b = append(b, byte(n)|0x80)
	}
	return append(append(b, byte(n)), s...)
}

// nameOff registers a name and returns its offset.
func nameOff(name string, exported bool, pkgPath int32) int32 {
	return addReflectOff(unsafe.Pointer(newName(name, "", exported, false, pkgPath).bytes))
}

// typeOff registers a type and returns its offset.
func typeOff(t *abiType) int32 { return addReflectOff(unsafe.Pointer(t)) }
