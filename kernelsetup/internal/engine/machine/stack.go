package machine

import (
	"go/ast"
)

// overflow ends a run whose functions call each other through compiled code
// too deeply: a real overflow of the Go stack would end the process. The
// compiled code in between might recover a panic, as fmt does, so the whole
// run is stopped.
func (r *Run) overflow(f *Func) {
	o := Outcome{Panic: stackOverflow{}}
	if f.ssa != nil {
		o.Trace = []Place{{Function: f.ssa.String(), Pos: f.ssa.Pos()}}
	}
	r.mu.Lock()
	if r.failed == nil {
		r.failed = &o
	}
	r.mu.Unlock()
	if r.done != nil {
		r.Interrupt()
	}
	panic(stackOverflow{})
}

const (
	maxGoStack     = 64 << 20
	shallowGoStack = 4 << 20
	shallowDepth   = 20_000
)

// depth is how many calls a thread may nest.
func (r *Run) depth() int {
	if r.shallow {
		return min(shallowDepth, r.m.limits.Depth)
	}
	return r.m.limits.Depth
}

// goStack is how much of its Go stack a goroutine may use.
func (r *Run) goStack() uintptr {
	if r.shallow {
		return shallowGoStack
	}
	return maxGoStack
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
