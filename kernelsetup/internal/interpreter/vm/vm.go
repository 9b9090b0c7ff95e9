package vm

import (
	"go/types"
	"reflect"
	"sync"
	"sync/atomic"
	"unsafe"

	"golang.org/x/tools/go/ssa"
	"golang.org/x/tools/go/types/typeutil"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// Linker finds what is compiled.
type Linker interface {
	// Func returns a compiled package-level function, nil if there is none.
	Func(pkg, name string) any
	// Var returns a pointer to a compiled package-level variable or nil.
	Var(pkg, name string) any
	// Type finds a compiled type; see rtype.Resolver.
	Type(pkg, name string) (t reflect.Type, compiled bool)
}

// Limits bound what threads may take.
type Limits struct {
	Depth int
	// Memory bounds one allocation, Total the process while a cell runs; 0:
	// no limit.
	Memory, Total uint64
}

// Machine holds the functions, variables and types of one program that grows.
type Machine struct {
	prog   *ssa.Program
	link   Linker
	types  *rtype.Registry
	limits Limits
	lower  func(*ssa.Function)
	method func(*types.Selection) *ssa.Function
	// compile makes the code of a function at its first call. What is called
	// from here stands above what calls: New sets it.
	compile func(*Func) (*code, error)

	mu          sync.Mutex // held while code is made
	layouts     typeutil.Map
	layoutByPtr map[types.Type]*layout
	sigs        typeutil.Map
	funcs       map[*ssa.Function]*Func
	literals    literals
	values      map[*ssa.Function]unsafe.Pointer
	globals     map[*ssa.Global]unsafe.Pointer
	// What cells have declared anew, while old code may still mention it.
	dropped  fading[ssa.Global, unsafe.Pointer]
	replaced fading[ssa.Function, *Func]
	old      fading[Func, struct{}] // those of replaced
	resolved resolved
	makers   map[*layout]*rtype.Maker
	natives  map[string]Native
	runs     runs
	threads  sync.Map // the *Thread of each goroutine of cells but the main ones
	passing  atomic.Pointer[panicking]
	spare    atomic.Pointer[Thread]
}

// Native replaces a compiled function by one of the machine's own. Results
// and parameters are in the window.
type Native func(t *Thread, w Window)
