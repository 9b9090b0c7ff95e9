package vm

import (
	"cmp"
	"fmt"
	"go/types"
	"reflect"
	"strings"
	"unsafe"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// funcOf returns the machine's side of an SSA function.
func (m *Machine) funcOf(fn *ssa.Function) *Func {
	if f, ok := m.funcs[fn]; ok {
		return f
	}
	if f := m.literals.at(fn); f != nil {
		return f
	}
	if f, ok := m.replaced.at(fn); ok {
		return f
	}
	f := &Func{ssa: fn, sig: m.funcLayout(fn)} // may fail, so before it is kept
	f.self = &Closure{fn: f}
	if fn.Parent() != nil {
		m.literals.add(m, fn, f)
	} else {
		m.funcs[fn] = f
	}
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
	if why := cmp.Or(to.broken, f.broken); why != "" {
		panic(&buildError{msg: why})
	}
	if to.native != nil {
		return nil
	}
	c := to.code.Load()
	if c == nil {
		var err error
		if c, err = m.compile(to); err != nil {
			panic(err)
		}
		to.code.Store(c)
	}
	if f != to {
		f.lend(c)
	}
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
		if v := m.link.Func(fn.Pkg.Pkg.Path(), fn.Name()); v != nil && !writes(fn) && m.natives[nativeName(fn)] == nil {
			p = abi.WordsOf(&v).Data
		}
	}
	if p == nil {
		p = m.maker(m.layoutOf(funcType(fn))).Func(unsafe.Pointer(f.self))
	}
	if fn.Parent() == nil { // a literal's lives as long as somebody has it
		m.values[fn] = p
	}
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

func (m *Machine) globalAddr(g *ssa.Global) unsafe.Pointer {
	if p, ok := m.globals[g]; ok {
		return p
	}
	if p, ok := m.dropped.at(g); ok {
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
