// Package machine executes functions in SSA form. It compiles each to compact
// register code at its first call and runs that in a loop. Values that leave
// the registers are real Go values in real Go memory, so that compiled code
// can share them.
package machine

import (
	"fmt"
	"go/types"
	"reflect"
	"strings"
	"sync"
	"sync/atomic"
	"unsafe"

	"golang.org/x/tools/go/ssa"
	"golang.org/x/tools/go/types/typeutil"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
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

	mu          sync.Mutex // held while code is made
	layouts     typeutil.Map
	layoutByPtr map[types.Type]*layout
	sigs        typeutil.Map
	funcs       map[*ssa.Function]*Func
	values      map[*ssa.Function]unsafe.Pointer
	globals     map[*ssa.Global]unsafe.Pointer
	makers      map[*layout]*rtype.Maker
	natives     map[string]Native
	runs        runs
	passing     atomic.Pointer[panicking]
	spare       atomic.Pointer[Thread]
}

// Native replaces a compiled function by one of the machine's own. Results
// and parameters are in the window.
type Native func(t *Thread, w Window)

// New returns a machine for prog.
func New(prog *ssa.Program, link Linker, limits Limits) *Machine {
	m := &Machine{prog: prog, link: link, limits: limits,
		layoutByPtr: map[types.Type]*layout{},
		funcs:       map[*ssa.Function]*Func{},
		values:      map[*ssa.Function]unsafe.Pointer{},
		globals:     map[*ssa.Global]unsafe.Pointer{},
		makers:      map[*layout]*rtype.Maker{},
		natives:     natives,
	}
	m.runs.init()
	m.runs.stuck = m.runs.untold
	m.runs.background = newRun(m)
	close(m.runs.background.finished)
	m.types = rtype.New(link.Type, methodSource{m}, caller{m})
	return m
}

// OnLower sets what makes the blocks of a function that has been given without
// them, before its first call. It is called with the machine's lock held.
func (m *Machine) OnLower(f func(*ssa.Function)) { m.lower = f }

// RuntimeType returns the reflect type of t.
func (m *Machine) RuntimeType(t types.Type) (reflect.Type, error) { return m.types.Type(t) }

// Global returns the variable's address as a reflect.Value to set.
func (m *Machine) Global(g *ssa.Global) (v reflect.Value, err error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	defer catchBuildError(&err)
	elem := g.Type().Underlying().(*types.Pointer).Elem()
	return reflect.NewAt(m.rtype(m.layoutOf(elem)), m.globalAddr(g)).Elem(), nil
}

// ShareGlobal makes g the same variable as old.
func (m *Machine) ShareGlobal(g, old *ssa.Global) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if p, ok := m.globals[old]; ok {
		m.globals[g] = p
	} else {
		p := m.globalAddr(old)
		m.globals[g] = p
	}
}

// DropGlobal forgets a variable and its value.
func (m *Machine) DropGlobal(g *ssa.Global) {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.globals, g)
}

// Exclude calls f while no code is made: f may change what is known of types
// and take it back. It must not call the machine.
func (m *Machine) Exclude(f func()) {
	m.mu.Lock()
	defer m.mu.Unlock()
	f()
}

// Replace makes calls of old run by instead.
func (m *Machine) Replace(old, by *ssa.Function) {
	m.mu.Lock()
	defer m.mu.Unlock()
	o, n := m.funcOf(old), m.funcOf(by)
	if o == n {
		return
	}
	o.target, o.broken = n, ""
	m.dropCode(n)
}

// dropCode makes every function that ends in f look for its code again: those
// that f replaced, and those that these had replaced.
func (m *Machine) dropCode(f *Func) {
	for _, g := range m.funcs {
		if g.final() != f {
			continue
		}
		if g != f && g.target != f { // keeps the ways short
			g.target = f
		}
		g.code.Store(nil)
	}
}

// Break makes calls of fn fail with a message.
func (m *Machine) Break(fn *ssa.Function, why string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	f := m.funcOf(fn)
	f.broken = why
	m.dropCode(f)
}

// Rebind makes values of a type see its methods as they are now.
func (m *Machine) Rebind(t types.Type) {
	for _, t := range []types.Type{t, types.NewPointer(t)} {
		if rt, err := m.types.Type(t); err == nil {
			m.types.Rebind(rt)
		}
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, f := range m.funcs {
		if c := f.code.Load(); c != nil {
			for _, s := range c.sites {
				s.cache.Store(nil)
			}
		}
	}
}

func (m *Machine) globalAddr(g *ssa.Global) unsafe.Pointer {
	if p, ok := m.globals[g]; ok {
		return p
	}
	var p unsafe.Pointer
	if g.Pkg != nil && g.Object() != nil {
		if v := m.link.Var(g.Pkg.Pkg.Path(), g.Name()); v != nil {
			p = reflect.ValueOf(v).UnsafePointer()
		}
	}
	if p == nil {
		elem := g.Type().Underlying().(*types.Pointer).Elem()
		p = abi.UnsafeNew(m.typeWord(m.layoutOf(elem)))
	}
	m.globals[g] = p
	return p
}

// funcOf returns the machine's side of an SSA function.
func (m *Machine) funcOf(fn *ssa.Function) *Func {
	if f, ok := m.funcs[fn]; ok {
		return f
	}
	f := &Func{ssa: fn}
	f.self = &Closure{fn: f}
	m.funcs[fn] = f
	f.sig = m.funcLayout(fn)
	if n := m.native(fn); n != nil {
		f.native = n
		f.self.call = n
	} else if len(fn.Blocks) == 0 && !hasBody(fn.Syntax()) {
		f.broken = m.missing(fn)
	}
	return f
}

func (m *Machine) missing(fn *ssa.Function) string {
	if fn.Pkg != nil && fn.Pkg.Pkg.Path() == "main" {
		return fmt.Sprintf("function %s has no body", fn.Name())
	}
	if fn.Pkg != nil && strings.Contains(fn.Pkg.Pkg.Path(), ".") {
		return fmt.Sprintf("%s is not available in cells: it is written in assembly or linked to the run time; \"bonnetbook build-kernel\" makes a kernel that has it", fn)
	}
	return fmt.Sprintf("%s is not available in cells", fn)
}

// codeOf returns the code of f, making it at the first call; nil for what is
// compiled.
func (m *Machine) codeOf(f *Func) *code {
	m.mu.Lock()
	defer m.mu.Unlock()
	to := f.final()
	if f.broken != "" || to.broken != "" {
		panic(&buildError{msg: f.broken + to.broken})
	}
	if to.native != nil {
		return nil
	}
	c := to.code.Load()
	if c == nil {
		var err error
		if c, err = m.build(to); err != nil {
			panic(err)
		}
		to.code.Store(c)
	}
	f.code.Store(c)
	return c
}

func catchBuildError(err *error) {
	switch r := recover().(type) {
	case nil:
	case *buildError:
		*err = r
	default:
		panic(r)
	}
}

// funcValue returns the func value of a function without free variables.
func (m *Machine) funcValue(fn *ssa.Function) unsafe.Pointer {
	if p, ok := m.values[fn]; ok {
		return p
	}
	f := m.funcOf(fn)
	var p unsafe.Pointer
	if fn.Pkg != nil && f.native != nil && fn.Signature.Recv() == nil {
		if v := m.link.Func(fn.Pkg.Pkg.Path(), fn.Name()); v != nil && m.natives[nativeName(fn)] == nil {
			p = abi.WordsOf(&v).Data
		}
	}
	if p == nil {
		p = m.maker(m.layoutOf(funcType(fn))).Func(unsafe.Pointer(f.self))
	}
	m.values[fn] = p
	return p
}

// funcType is the type of a function as a value, the receiver a parameter.
func funcType(fn *ssa.Function) types.Type {
	sig := fn.Signature
	if sig.Recv() == nil {
		return types.NewSignatureType(nil, nil, nil, sig.Params(), sig.Results(), sig.Variadic())
	}
	params := []*types.Var{types.NewParam(0, nil, "", sig.Recv().Type())}
	for i := range sig.Params().Len() {
		params = append(params, sig.Params().At(i))
	}
	return types.NewSignatureType(nil, nil, nil, types.NewTuple(params...), sig.Results(), sig.Variadic())
}

func (m *Machine) maker(l *layout) *rtype.Maker {
	if k, ok := m.makers[l]; ok {
		return k
	}
	k := rtype.NewMaker(m.rtype(l), caller{m})
	m.makers[l] = k
	return k
}

// funcLayout returns where a function's results and parameters are. A
// method's receiver comes after its parameters, so that calls through
// interfaces need not know how large it is.
func (m *Machine) funcLayout(fn *ssa.Function) *sigLayout {
	sl := &sigLayout{variadic: fn.Signature.Variadic(), recv: fn.Signature.Recv() != nil}
	m.addResults(sl, fn.Signature)
	params := make([]types.Type, 0, len(fn.Params)+1)
	if len(fn.Params) > 0 {
		for _, p := range fn.Params {
			params = append(params, p.Type())
		}
	} else { // nothing of it has been built
		if r := fn.Signature.Recv(); r != nil {
			params = append(params, r.Type())
		}
		for i := range fn.Signature.Params().Len() {
			params = append(params, fn.Signature.Params().At(i).Type())
		}
	}
	m.addParams(sl, params, fn.Signature.Recv() != nil)
	return sl
}

// sigLayoutOf returns the window of a call through a func value or, without
// its receiver, through an interface.
func (m *Machine) sigLayoutOf(sig *types.Signature) *sigLayout {
	if sl, ok := m.sigs.At(sig).(*sigLayout); ok {
		return sl
	}
	sl := &sigLayout{variadic: sig.Variadic()}
	m.addResults(sl, sig)
	var params []types.Type
	for i := range sig.Params().Len() {
		params = append(params, sig.Params().At(i).Type())
	}
	m.addParams(sl, params, false)
	m.sigs.Set(sig, sl)
	return sl
}

func (m *Machine) addResults(sl *sigLayout, sig *types.Signature) {
	for i := range sig.Results().Len() {
		sl.results = append(sl.results, sl.next(m.layoutOf(sig.Results().At(i).Type())))
	}
	sl.resS, sl.resP = sl.endS, sl.endP
}

func (m *Machine) addParams(sl *sigLayout, params []types.Type, recv bool) {
	sl.params = make([]fieldSlots, len(params))
	for i, t := range params {
		if i > 0 || !recv {
			sl.params[i] = sl.next(m.layoutOf(t))
		}
	}
	if recv {
		sl.params[0] = sl.next(m.layoutOf(params[0]))
	}
}

func (sl *sigLayout) next(l *layout) fieldSlots {
	f := fieldSlots{sl.endS, sl.endP, l}
	sl.endS += l.nS
	sl.endP += l.nP
	return f
}

// Grow takes notice of methods that a type was given after it came into use.
// All code is made anew, for the types in it.
func (m *Machine) Grow(n *types.Named) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.types.Grow(n)
	m.layouts = typeutil.Map{}
	clear(m.layoutByPtr)
	clear(m.makers)
	clear(m.values)
	m.sigs = typeutil.Map{}
	for fn, f := range m.funcs {
		f.code.Store(nil)
		f.sig = m.funcLayout(fn)
	}
}

// ForgetMethods makes calls through interfaces look up their methods anew.
func (m *Machine) ForgetMethods() {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, f := range m.funcs {
		if c := f.code.Load(); c != nil {
			for _, s := range c.sites {
				s.cache.Store(nil)
			}
		}
	}
}

// Forget drops the code of a function that will not be called again.
func (m *Machine) Forget(fn *ssa.Function) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.forget(fn)
}

func (m *Machine) forget(fn *ssa.Function) {
	delete(m.funcs, fn)
	delete(m.values, fn)
	for _, a := range fn.AnonFuncs {
		m.forget(a)
	}
}
