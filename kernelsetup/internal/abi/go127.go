//go:build go1.27 && !go1.28

package abi

import "unsafe"

// MapType is the struct of a map type (internal/abi/map.go).
type MapType struct {
	Type
	Key        *Type
	Elem       *Type
	Group      *Type
	Hasher     func(unsafe.Pointer, uintptr) uintptr
	GroupSize  uintptr
	KeysOff    uintptr
	KeyStride  uintptr
	ElemsOff   uintptr
	ElemStride uintptr
	ElemOff    uintptr
	Flags      uint32
}

// mapSlots checks where keys and elements lie, by structs that the compiler
// lays out: either pair by pair or, under GOEXPERIMENT=mapsplitgroup, all keys
// before all elements.
func (c *checker) mapSlots(p unsafe.Pointer) {
	var slot struct {
		key  string
		elem sampleArray5
	}
	var group struct {
		control uint64
		slots   [8]struct {
			key  string
			elem sampleArray5
		}
	}
	var split struct {
		control uint64
		keys    [8]string
		elems   [8]sampleArray5
	}
	if read[uintptr, MapType](c, p, "ElemOff") == 0 {
		same[MapType](c, p, "GroupSize", unsafe.Sizeof(split))
		same[MapType](c, p, "KeysOff", unsafe.Offsetof(split.keys))
		same[MapType](c, p, "KeyStride", unsafe.Sizeof(split.keys[0]))
		same[MapType](c, p, "ElemsOff", unsafe.Offsetof(split.elems))
		same[MapType](c, p, "ElemStride", unsafe.Sizeof(split.elems[0]))
		return
	}
	same[MapType](c, p, "KeysOff", unsafe.Offsetof(group.slots))
	same[MapType](c, p, "KeyStride", unsafe.Sizeof(slot))
	same[MapType](c, p, "ElemsOff", unsafe.Offsetof(group.slots)+unsafe.Offsetof(slot.elem))
	same[MapType](c, p, "ElemStride", unsafe.Sizeof(slot))
	same[MapType](c, p, "ElemOff", unsafe.Offsetof(slot.elem))
}
