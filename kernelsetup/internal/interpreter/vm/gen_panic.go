package vm

import (
	"go/constant"
	"unsafe"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

func (g *gen) panicInstr(in *ssa.Panic) {
	if text, ok := rangeFuncPanic(in.X); ok {
		g.rangeFuncPanic(text)
		return
	}
	x := g.pOf(in.X)
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		panic(abi.Any(*pp(p, x), *pp(p, x+8)))
	})
}

// rangeFuncPanic recognises the panics that ssa puts into the bodies of
// range-over-func loops.
func rangeFuncPanic(x ssa.Value) (string, bool) {
	mk, ok := x.(*ssa.MakeInterface)
	if !ok {
		return "", false
	}
	c, ok := mk.X.(*ssa.Const)
	if !ok || c.Value == nil || c.Value.Kind() != constant.String {
		return "", false
	}
	switch text := constant.StringVal(c.Value); text {
	case "yield function called after range loop exit", "iterator call did not preserve panic":
		return text, true
	}
	return "", false
}

// rangeFuncPanic panics as the run time does when an iterator misbehaves.
// What the loop's state was when it was called is in the variable that the
// first block tests.
func (g *gen) rangeFuncPanic(text string) {
	const done, exhausted = "range function continued iteration after function for loop body returned false",
		"range function continued iteration after whole loop exit"
	if text == "iterator call did not preserve panic" {
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			panic(runtimeError("range function recovered a loop body panic and did not resume panicking"))
		})
		return
	}
	state := int32(-1)
	first := g.fn.Blocks[0]
	if br, ok := first.Instrs[len(first.Instrs)-1].(*ssa.If); ok {
		if cmp, ok := br.Cond.(*ssa.BinOp); ok {
			state = g.sOf(cmp.X)
		}
	}
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		switch {
		case state >= 0 && *si(s, state) == -2:
			panic(runtimeError(exhausted))
		case state >= 0 && *si(s, state) == -1:
			panic(runtimeError("range function continued iteration after loop body panic"))
		}
		panic(runtimeError(done))
	})
}
