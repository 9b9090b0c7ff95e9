package rtype

import (
	"errors"
	"sync"
	"sync/atomic"
	"unsafe"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// Stubs is the number of method stubs; a pointer method takes one, a value
// method two. A type that gets another method keeps those that it has: only a
// method that is new, or has another signature, takes some. A type that is
// declared anew, with other fields, takes as many as it has methods; those of
// the old one are never free, for nobody knows whether a value of it is left.
const Stubs = 32768

// slots holds the func value that each stub jumps to. Assembly reads it.
var slots [Stubs]unsafe.Pointer

var (
	stubsUsed   int
	stubsMu     sync.Mutex
	stubsBase   = stubBase()
	thunkCode   = thunkPC()
	errNoStubs  = errors.New("all method stubs are in use: too many methods have been declared in this session; restart the kernel")
	stubsStride = uintptr(stubStride)
)

// stubBase returns the code of the first stub (stubs_*.s).
func stubBase() unsafe.Pointer

// thunkPC returns the code of a thunk (stubs_*.s).
func thunkPC() uintptr

// stackUsed returns the bytes of stack between the goroutine's start and the
// caller (stubs_*.s).
func stackUsed() uintptr

// StackUsed returns the bytes of its stack that the goroutine uses. Stacks
// grow, up to debug.SetMaxStack; compare with a limit below that to turn an
// endless recursion into a panic.
func StackUsed() uintptr { return stackUsed() }

// StubsFree returns the number of method stubs left.
func StubsFree() int {
	stubsMu.Lock()
	defer stubsMu.Unlock()
	return Stubs - stubsUsed
}

// takeStub returns the number of a fresh stub.
func takeStub() (int, error) {
	stubsMu.Lock()
	defer stubsMu.Unlock()
	if stubsUsed == Stubs {
		return 0, errNoStubs
	}
	stubsUsed++
	return stubsUsed - 1, nil
}

// setStub makes stub i jump to a func value.
func setStub(i int, fv unsafe.Pointer) { atomic.StorePointer(&slots[i], fv) }

// stubText registers the code of stub i and returns its offset for abi.Method.
func stubText(i int) abi.TextOff {
	return abi.NewTextOff(unsafe.Add(stubsBase, uintptr(i)*stubsStride))
}

// goroutine returns the address of the running goroutine's descriptor
// (stubs_*.s).
func goroutine() uintptr

// Goroutine returns a number that is the running goroutine's alone as long as
// it lives.
func Goroutine() uintptr { return goroutine() }

// lend returns w. The compiler does not see that (stubs_*.s) and leaves the
// words on the stack: nobody keeps them beyond the call that they are lent for.
//
//go:noescape
func lend(w *Words) *Words
