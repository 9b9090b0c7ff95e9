// Package abi is all that the kernel takes for granted about the inside of the
// Go release that it is built with: how types lie in memory, where a method
// table has its parts, which functions of the run time can be linked to, how
// many registers carry parameters.
//
// What differs between releases stands in one file for each of them
// (go126.go, go127.go); what all of them share stands beside it. Names are
// those of Go's own packages internal/abi and runtime, so that the two can be
// compared line by line: TestMirrorsGo does it with the source of the
// toolchain in use, and Check with the running program before any cell runs.
// docs/ADDING_A_GO_RELEASE.md says how a release is added.
package abi

import (
	"reflect"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi/release"
)

// Release is the Go release that this program was built for.
const Release = release.Name

// Of returns the memory of a type. A reflect.Type is an interface whose data
// word points to it.
func Of(t reflect.Type) *Type {
	return (*Type)((*[2]unsafe.Pointer)(unsafe.Pointer(&t))[1])
}

// Reflect is the inverse of Of.
func (t *Type) Reflect() reflect.Type {
	var e any
	WordsOf(&e).Type = unsafe.Pointer(t)
	return reflect.TypeOf(e)
}

// FuncPointer returns the func value that v holds: what a variable of the
// func type contains.
func FuncPointer(v reflect.Value) unsafe.Pointer {
	f := v.Interface()
	return WordsOf(&f).Data
}
