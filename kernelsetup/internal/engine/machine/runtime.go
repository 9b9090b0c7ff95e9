package machine

import (
	"unsafe"
)

// The functions below are those of package runtime that reflect itself is
// built on. They move typed memory with the write barriers that the garbage
// collector needs, which plain copies of pointers by word would miss.

//go:linkname unsafeNew reflect.unsafe_New
func unsafeNew(typ unsafe.Pointer) unsafe.Pointer

//go:linkname unsafeNewArray reflect.unsafe_NewArray
func unsafeNewArray(typ unsafe.Pointer, n int) unsafe.Pointer

//go:linkname typedmemmove reflect.typedmemmove
//go:noescape
func typedmemmove(typ, dst, src unsafe.Pointer)

//go:linkname typedmemclr reflect.typedmemclr
//go:noescape
func typedmemclr(typ, ptr unsafe.Pointer)

//go:linkname typedslicecopy reflect.typedslicecopy
//go:noescape
func typedslicecopy(typ unsafe.Pointer, dst, src sliceHeader) int

//go:linkname typedarrayclear reflect.typedarrayclear
//go:noescape
func typedarrayclear(typ, ptr unsafe.Pointer, n int)

//go:linkname growslice reflect.growslice
func growslice(typ unsafe.Pointer, old sliceHeader, n int) sliceHeader

//go:linkname mapaccess reflect.mapaccess
//go:noescape
func mapaccess(typ, m, key unsafe.Pointer) unsafe.Pointer

//go:linkname mapaccessString reflect.mapaccess_faststr
//go:noescape
func mapaccessString(typ, m unsafe.Pointer, key string) unsafe.Pointer

//go:linkname mapassign reflect.mapassign0
//go:noescape
func mapassign(typ, m, key, elem unsafe.Pointer)

//go:linkname mapassignString reflect.mapassign_faststr0
//go:noescape
func mapassignString(typ, m unsafe.Pointer, key string, elem unsafe.Pointer)

//go:linkname mapdelete reflect.mapdelete
//go:noescape
func mapdelete(typ, m, key unsafe.Pointer)

//go:linkname maplen reflect.maplen
//go:noescape
func maplen(m unsafe.Pointer) int

//go:linkname mapclear reflect.mapclear
func mapclear(typ, m unsafe.Pointer)

//go:linkname makemap reflect.makemap
func makemap(typ unsafe.Pointer, n int) unsafe.Pointer

//go:linkname makechan reflect.makechan
func makechan(typ unsafe.Pointer, n int) unsafe.Pointer

//go:linkname chansend reflect.chansend0
//go:noescape
func chansend(ch, val unsafe.Pointer, nonblocking bool) bool

//go:linkname chanrecv reflect.chanrecv
//go:noescape
func chanrecv(ch unsafe.Pointer, nonblocking bool, val unsafe.Pointer) (selected, received bool)

//go:linkname chanlen reflect.chanlen
//go:noescape
func chanlen(ch unsafe.Pointer) int

//go:linkname chancap reflect.chancap
//go:noescape
func chancap(ch unsafe.Pointer) int

//go:linkname chanclose reflect.chanclose
func chanclose(ch unsafe.Pointer)

//go:linkname memmove reflect.memmove
//go:noescape
func memmove(dst, src unsafe.Pointer, n uintptr)

type sliceHeader struct {
	data     unsafe.Pointer
	len, cap int
}

type eface struct {
	typ, data unsafe.Pointer
}

func efaceOf(a *any) *eface { return (*eface)(unsafe.Pointer(a)) }

// anyOf puts the two words of an empty interface together.
func anyOf(typ, data unsafe.Pointer) any {
	var a any
	*efaceOf(&a) = eface{typ, data}
	return a
}

// itabType returns the dynamic type of an interface with methods from its
// first word, nil for a nil interface.
func itabType(tab unsafe.Pointer) unsafe.Pointer {
	if tab == nil {
		return nil
	}
	return *(*unsafe.Pointer)(unsafe.Add(tab, 8))
}

func makeString(p unsafe.Pointer, n uint64) string { return unsafe.String((*byte)(p), int(n)) }
