package vm

import (
	"go/token"
	"sync/atomic"
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

// instr is one instruction. Operands are byte offsets into the scalar or the
// pointer slots of the frame, immediates, or indexes of the code's tables, as
// the opcode says.
type instr struct {
	op         opcode
	x          uint16
	a, b, c, d int32
}

const instrSize = unsafe.Sizeof(instr{})

// code is a function ready to run.
type code struct {
	fn   *Func
	name string // for traces
	// pkg lives for as long as goroutines may be in the code: positions in
	// its cells are found till then.
	pkg   *ssa.Package
	ins   []instr
	start unsafe.Pointer // &ins[0]
	// recoverAt is where a recovered panic goes on; nil without defers.
	recoverAt unsafe.Pointer
	// sizeS and sizeP are the frame's slots in bytes. The window of a called
	// function begins where they end.
	sizeS, sizeP uintptr
	// needS and needP are those and the largest window.
	needS, needP uintptr
	// freeS and freeP are where free variables begin.
	freeS, freeP uintptr
	ptrs         []unsafe.Pointer // pointer constants
	sites        []*site
	exts         []ext
	pos          []token.Pos // by instruction
	wrapper      bool        // calls go through it to a method of the same name
}

// ext is an instruction that is not worth an opcode: it reads and writes the
// slots of the frame at s and p.
type ext func(t *Thread, s, p unsafe.Pointer)

// Func is a function as calls see it. Its code is made at the first call.
type Func struct {
	ssa  *ssa.Function // nil for one that was replaced, see function
	code atomic.Pointer[code]
	sig  *sigLayout
	// native runs a compiled function: its results and parameters are in
	// the window at s and p.
	native ext
	// line is what the function has in common with those that replaced it and
	// that it replaced; nil for one that was declared once.
	line atomic.Pointer[lineage]
	self *Closure
	// broken says why the function cannot be called any more.
	broken string
}

// Closure is a Func with its free variables; a pointer to it is what
// package rtype keeps for a func value.
type Closure struct {
	fn *Func
	s  []uint64
	p  []unsafe.Pointer
	// call is set for a closure over something compiled: a bound method.
	call ext
}

// sigLayout says where results and parameters are in a window: results
// first, then the receiver, then the parameters, then free variables.
type sigLayout struct {
	results, params []fieldSlots
	resS, resP      int // slots of results
	endS, endP      int // slots of results and parameters
	variadic        bool
	recv            bool
	takes, gives    []writerAt // writers among parameters and results
}

// writerAt is where a window has an io.Writer, or another interface with its
// method, or a slice of these; see standard.
type writerAt struct {
	s, p int32
	list bool
}

// site is one place that calls.
type site struct {
	fn  *Func
	sig *sigLayout
	// for calls through func values
	typ *layout
	// for calls through interfaces: the method's types.Func.Id and name
	method, name string
	iface        *layout
	cache        atomic.Pointer[siteCache]
}

// siteCache remembers what a call through an interface led to.
type siteCache struct {
	typ  unsafe.Pointer // dynamic type
	fn   *Func
	call ext // compiled method; the receiver is in Thread.recv
	recv *layout
	// direct: the receiver is the data word
	direct       bool
	recvS, recvP uintptr
}

func su(s unsafe.Pointer, off int32) *uint64         { return (*uint64)(unsafe.Add(s, off)) }
func si(s unsafe.Pointer, off int32) *int64          { return (*int64)(unsafe.Add(s, off)) }
func sf(s unsafe.Pointer, off int32) *float64        { return (*float64)(unsafe.Add(s, off)) }
func sf32(s unsafe.Pointer, off int32) *float32      { return (*float32)(unsafe.Add(s, off)) }
func pp(p unsafe.Pointer, off int32) *unsafe.Pointer { return (*unsafe.Pointer)(unsafe.Add(p, off)) }

func b2u(b bool) uint64 {
	if b {
		return 1
	}
	return 0
}
