package vm

import (
	"go/types"
	"reflect"
	"unsafe"

	"golang.org/x/tools/go/ssa"
	"golang.org/x/tools/go/types/typeutil"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

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
	m.compile = m.build
	m.method = prog.MethodValue
	m.runs.init()
	m.runs.stuck = m.runs.untold
	background := newRun(m)
	close(background.finished)
	m.runs.background.Store(background)
	m.types = rtype.New(link.Type, methodSource{m}, caller{m})
	return m
}

// OnLower sets what makes the blocks of a function that has been given without
// them, before its first call. It is called with the machine's lock held.
func (m *Machine) OnLower(f func(*ssa.Function)) { m.lower = f }

// OnMethod sets what finds the function of a method, which may have to be built.
// Goroutines that go on after their cell call it beside the next one.
func (m *Machine) OnMethod(f func(*types.Selection) *ssa.Function) { m.method = f }

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

// ShareGlobal makes g the same variable as old, which only code that has been
// made already mentions from now on.
func (m *Machine) ShareGlobal(g, old *ssa.Global) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p := m.globalAddr(old)
	m.globals[g] = p
	if g != old {
		m.dropped.add(old, p)
		delete(m.globals, old)
		LeavePackage(old)
	}
}

// DropGlobal forgets a variable. With used, its value lives on for as long as
// code that reads it does; it takes the collector two rounds to see that.
func (m *Machine) DropGlobal(g *ssa.Global, used bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if p, ok := m.globals[g]; ok {
		if used {
			m.dropped.add(g, p)
		}
		delete(m.globals, g)
	}
	LeavePackage(g)
}

// LeavePackage takes a member that cells have declared anew out of its package,
// which lives for as long as any of its members.
func LeavePackage(o ssa.Member) {
	if p := o.Package(); p != nil && p.Members[o.Name()] == o {
		delete(p.Members, o.Name())
	}
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
	o.broken = ""
	o.succeed(n)
	if _, ok := m.funcs[old]; ok { // its body is not needed any more
		delete(m.funcs, old)
		m.replaced.add(old, o)
		m.old.add(o, struct{}{})
		o.ssa = nil
	}
	delete(m.values, old)
}

// Break makes calls of fn fail with a message.
func (m *Machine) Break(fn *ssa.Function, why string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	f := m.funcOf(fn)
	f.broken = why
	f.dropCode()
}

// Rebind makes values of a type see its methods as they are now.
func (m *Machine) Rebind(t types.Type) {
	for _, t := range []types.Type{t, types.NewPointer(t)} {
		if rt, err := m.types.Type(t); err == nil {
			m.types.Rebind(rt)
		}
	}
	m.ForgetMethods()
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
	for f := range m.allFuncs() {
		f.dropCode()
		f.sig = m.funcLayout(f.function())
	}
}

// Succeed makes values whose type has the method old find now in its place: it
// has the same signature and receiver.
func (m *Machine) Succeed(old, now *types.Func) { m.types.Succeed(old, now) }

// Follow makes values of a generic type, and of what embeds it, find its methods
// as they are now.
func (m *Machine) Follow(n *types.Named) { m.types.Follow(n) }

// ForgetMethods makes calls through interfaces look up their methods anew.
func (m *Machine) ForgetMethods() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.resolved.forget()
}

// Forget drops the code of a function that will not be called again.
func (m *Machine) Forget(fn *ssa.Function) {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.funcs, fn)
	delete(m.values, fn)
}

// Empty takes the body from a function that will not run again, as a cell's that
// has run: its function literals would keep alive whatever it mentions.
func (m *Machine) Empty(fn *ssa.Function) {
	m.mu.Lock() // a goroutine that goes on may compile one of the literals
	defer m.mu.Unlock()
	for _, b := range fn.Blocks {
		for _, in := range b.Instrs {
			if v, ok := in.(ssa.Value); ok && v.Referrers() != nil {
				*v.Referrers() = nil
			}
		}
		b.Instrs = nil
	}
	for _, lit := range fn.AnonFuncs {
		if r := lit.Referrers(); r != nil {
			*r = nil
		}
	}
	fn.Blocks, fn.Locals, fn.AnonFuncs = nil, nil, nil
}
