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
