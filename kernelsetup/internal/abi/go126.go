//go:build go1.26 && !go1.27

package abi

import "unsafe"

// MapType is the struct of a map type (internal/abi/map.go).
type MapType struct {
	Type
	Key       *Type
	Elem      *Type
	Group     *Type
	Hasher    func(unsafe.Pointer, uintptr) uintptr
	GroupSize uintptr
	SlotSize  uintptr
	ElemOff   uintptr
	Flags     uint32
}

// mapSlots checks where keys and elements lie, by a struct that the compiler
// lays out.
func (c *checker) mapSlots(p unsafe.Pointer) {
	var slot struct {
		key  string
		elem sampleArray5
	}
	same[MapType](c, p, "SlotSize", unsafe.Sizeof(slot))
	same[MapType](c, p, "ElemOff", unsafe.Offsetof(slot.elem))
}
