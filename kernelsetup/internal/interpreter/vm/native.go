package vm

import (
	"go/ast"
	"go/types"
	"reflect"
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

// native returns what runs a function without a body, nil for one that is
// interpreted.
func (m *Machine) native(fn *ssa.Function) ext {
	name := nativeName(fn)
	if n, ok := m.natives[name]; ok {
		sig := m.funcLayout(fn)
		return func(t *Thread, s, p unsafe.Pointer) { n(t, windowOf(t, sig, s, p, false)) }
	}
	if len(fn.Blocks) > 0 || hasBody(fn.Syntax()) {
		return nil
	}
	m.noteWaker(fn)
	sig := m.funcLayout(fn)
	if recv := fn.Signature.Recv(); recv != nil {
		rt := m.runtimeType(recv.Type())
		method, ok := rt.MethodByName(fn.Name())
		if !ok {
			return nil
		}
		call := writesMaps(name, fn.Signature, inItsPlace(name, m.compiled(method.Func, sig), sig, false))
		if name == "(*encoding/json.Encoder).Encode" {
			call = guardMap(call, sig, 1)
		}
		return m.weighed(name, call, sig)
	}
	if fn.Pkg == nil || fn.Object() == nil {
		return nil
	}
	v := m.link.Func(fn.Pkg.Pkg.Path(), fn.Name())
	if v == nil {
		return nil
	}
	call := writesMaps(name, fn.Signature, inItsPlace(name, m.compiled(reflect.ValueOf(v), sig), sig, false))
	if printers[fn.Pkg.Pkg.Path()] && fn.Signature.Variadic() && isAnys(fn.Signature) {
		call = guardNesting(call, sig)
	}
	if name == "encoding/json.Marshal" || name == "encoding/json.MarshalIndent" {
		call = guardMap(call, sig, 0)
	}
	return m.weighed(name, call, sig)
}

// isAnys reports whether a signature ends in ...any.
func isAnys(sig *types.Signature) bool {
	s, ok := sig.Params().At(sig.Params().Len() - 1).Type().(*types.Slice)
	if !ok {
		return false
	}
	i, ok := s.Elem().Underlying().(*types.Interface)
	return ok && i.Empty()
}

// wakers are compiled functions after which something outside the cell may
// wake a goroutine: no deadlock can be told then.
var wakerPackages = map[string]bool{"net": true, "net/http": true, "os/exec": true, "os/signal": true,
	"net/rpc": true, "net/http/httptest": true, "testing": true}

var wakerFuncs = map[string]bool{"time.After": true, "time.AfterFunc": true, "time.NewTimer": true,
	"time.NewTicker": true, "time.Tick": true, "context.WithTimeout": true, "context.WithDeadline": true,
	"context.WithTimeoutCause": true, "context.WithDeadlineCause": true, "context.AfterFunc": true,
	"runtime.SetFinalizer": true, "runtime.AddCleanup": true, "(*sync.WaitGroup).Go": true, "iter.Pull": true}

func (m *Machine) noteWaker(fn *ssa.Function) {
	if wakerFuncs[nativeName(fn)] || fn.Pkg != nil && wakerPackages[fn.Pkg.Pkg.Path()] {
		m.runs.wakers.Store(true)
	}
}

// hasBody reports whether a function's syntax, if any, has a body.
func hasBody(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.FuncDecl:
		return n.Body != nil
	case *ast.FuncLit:
		return true
	}
	return false
}
