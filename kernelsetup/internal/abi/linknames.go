package abi

import "unsafe"

// This file is the whole list of what the project links to by linkname, but for
// one function of database/sql in package native: the functions of package
// runtime that reflect itself is built on, and two that package pprof is. The
// former move typed memory with the write barriers that the garbage collector
// needs, which plain copies of pointers by word would miss. A Go release may close
// any of them; the linker then refuses to build.

// UnsafeNew returns new memory of a type.
//
//go:linkname UnsafeNew reflect.unsafe_New
func UnsafeNew(typ unsafe.Pointer) unsafe.Pointer

// UnsafeNewArray returns new memory for n values of a type.
//
//go:linkname UnsafeNewArray reflect.unsafe_NewArray
func UnsafeNewArray(typ unsafe.Pointer, n int) unsafe.Pointer

// Typedmemmove copies a value.
//
//go:linkname Typedmemmove reflect.typedmemmove
//go:noescape
func Typedmemmove(typ, dst, src unsafe.Pointer)

// Typedmemclr sets a value to zero.
//
//go:linkname Typedmemclr reflect.typedmemclr
//go:noescape
func Typedmemclr(typ, ptr unsafe.Pointer)

// Typedslicecopy copies elements, as copy does.
//
//go:linkname Typedslicecopy reflect.typedslicecopy
//go:noescape
func Typedslicecopy(typ unsafe.Pointer, dst, src Slice) int

// Typedarrayclear sets n elements to zero.
//
//go:linkname Typedarrayclear reflect.typedarrayclear
//go:noescape
func Typedarrayclear(typ, ptr unsafe.Pointer, n int)

// Growslice makes room for n more elements.
//
//go:linkname Growslice reflect.growslice
func Growslice(typ unsafe.Pointer, old Slice, n int) Slice

// Mapaccess returns the element's address, nil where there is none.
//
//go:linkname Mapaccess reflect.mapaccess
//go:noescape
func Mapaccess(typ, m, key unsafe.Pointer) unsafe.Pointer

// MapaccessFaststr is Mapaccess for keys of kind string.
//
//go:linkname MapaccessFaststr reflect.mapaccess_faststr
//go:noescape
func MapaccessFaststr(typ, m unsafe.Pointer, key string) unsafe.Pointer

// Mapassign sets an element.
//
//go:linkname Mapassign reflect.mapassign0
//go:noescape
func Mapassign(typ, m, key, elem unsafe.Pointer)

// MapassignFaststr is Mapassign for keys of kind string.
//
//go:linkname MapassignFaststr reflect.mapassign_faststr0
//go:noescape
func MapassignFaststr(typ, m unsafe.Pointer, key string, elem unsafe.Pointer)

// Mapdelete removes an element.
//
//go:linkname Mapdelete reflect.mapdelete
//go:noescape
func Mapdelete(typ, m, key unsafe.Pointer)

// Maplen is len of a map.
//
//go:linkname Maplen reflect.maplen
//go:noescape
func Maplen(m unsafe.Pointer) int

// Mapclear removes all elements.
//
//go:linkname Mapclear reflect.mapclear
func Mapclear(typ, m unsafe.Pointer)

// Makemap makes a map with room for n elements.
//
//go:linkname Makemap reflect.makemap
func Makemap(typ unsafe.Pointer, n int) unsafe.Pointer

// Makechan makes a channel with a buffer of n elements.
//
//go:linkname Makechan reflect.makechan
func Makechan(typ unsafe.Pointer, n int) unsafe.Pointer

// Chansend sends and reports whether it did.
//
//go:linkname Chansend reflect.chansend0
//go:noescape
func Chansend(ch, val unsafe.Pointer, nonblocking bool) bool

// Chanrecv receives into val.
//
//go:linkname Chanrecv reflect.chanrecv
//go:noescape
func Chanrecv(ch unsafe.Pointer, nonblocking bool, val unsafe.Pointer) (selected, received bool)

// Chanlen is len of a channel.
//
//go:linkname Chanlen reflect.chanlen
//go:noescape
func Chanlen(ch unsafe.Pointer) int

// Chancap is cap of a channel.
//
//go:linkname Chancap reflect.chancap
//go:noescape
func Chancap(ch unsafe.Pointer) int

// Chanclose closes a channel.
//
//go:linkname Chanclose reflect.chanclose
func Chanclose(ch unsafe.Pointer)

// Memmove copies memory without pointers.
//
//go:linkname Memmove reflect.memmove
//go:noescape
func Memmove(dst, src unsafe.Pointer, n uintptr)

// Getitab returns the method table of a type for an interface with methods,
// or nil where a method is missing and canFail.
//
//go:linkname Getitab runtime.getitab
func Getitab(inter, typ *Type, canFail bool) unsafe.Pointer

// TypesByString returns the binary's own unnamed types of that string form.
//
//go:linkname TypesByString reflect.typesByString
func TypesByString(string) []*Type

// addReflectOff gives memory an offset that the run time resolves for types
// outside the binary, and keeps the memory alive for good.
//
//go:linkname addReflectOff reflect.addReflectOff
func addReflectOff(unsafe.Pointer) int32

// resolveNameOff finds the name that an offset in a type means.
//
//go:linkname resolveNameOff reflect.resolveNameOff
func resolveNameOff(within unsafe.Pointer, off int32) unsafe.Pointer

// resolveTypeOff finds the type that an offset in a type means.
//
//go:linkname resolveTypeOff reflect.resolveTypeOff
func resolveTypeOff(within unsafe.Pointer, off int32) unsafe.Pointer

// resolveTextOff finds the code that an offset in a type means.
//
//go:linkname resolveTextOff reflect.resolveTextOff
func resolveTextOff(within unsafe.Pointer, off int32) unsafe.Pointer

// ProfLabel returns the running goroutine's label in profiles, nil where it
// has none. Goroutines inherit it from the one that starts them.
//
//go:linkname ProfLabel runtime/pprof.runtime_getProfLabel
func ProfLabel() unsafe.Pointer

// SetProfLabel gives the running goroutine the label of another one.
//
//go:linkname SetProfLabel runtime/pprof.runtime_setProfLabel
func SetProfLabel(label unsafe.Pointer)
