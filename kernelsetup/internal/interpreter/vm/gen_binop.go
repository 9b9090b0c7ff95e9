package vm

import (
	"go/token"
	"go/types"
	"math"
	"unsafe"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// normalise brings a slot back into the range of a narrow type.
func (g *gen) normalise(t intType, dst, src int32) {
	op := opNop
	switch t {
	case intType{8, true}:
		op = opSx8
	case intType{16, true}:
		op = opSx16
	case intType{32, true}:
		op = opSx32
	case intType{8, false}:
		op = opZx8
	case intType{16, false}:
		op = opZx16
	case intType{32, false}:
		op = opZx32
	default:
		if dst != src {
			g.emit(opMovS, dst, src, 0, 0)
		}
		return
	}
	g.emit(op, dst, src, 0, 0)
}

func (g *gen) binop(v *ssa.BinOp, dst loc) {
	b, ok := v.X.Type().Underlying().(*types.Basic)
	if !ok || b.Kind() == types.UnsafePointer || b.Kind() == types.UntypedNil {
		g.compareOther(v, dst.s*8)
		return
	}
	switch info := b.Info(); {
	case info&types.IsInteger != 0:
		g.intOp(v, intTypeOf(b), dst.s*8)
	case info&types.IsBoolean != 0:
		op := opEq
		if v.Op == token.NEQ {
			op = opNe
		}
		g.emit(op, dst.s*8, g.sOf(v.X), g.sOf(v.Y), 0)
	case info&types.IsString != 0:
		g.stringOp(v, dst)
	case info&types.IsComplex != 0:
		g.complexOp(v, b, dst)
	default:
		g.floatOp(v, b.Kind() == types.Float32, dst.s*8)
	}
}

var intOps = map[token.Token]opcode{
	token.ADD: opAdd, token.SUB: opSub, token.MUL: opMul, token.AND: opAnd,
	token.OR: opOr, token.XOR: opXor, token.AND_NOT: opAndNot,
	token.EQL: opEq, token.NEQ: opNe,
}

func (g *gen) intOp(v *ssa.BinOp, t intType, d int32) {
	if g.intImmediate(v, t, d) {
		return
	}
	switch v.Op {
	case token.SHL, token.SHR:
		g.shift(v, t, d)
		return
	case token.QUO, token.REM:
		op := map[token.Token][2]opcode{token.QUO: {opDivU, opDivS}, token.REM: {opRemU, opRemS}}[v.Op][b2u(t.signed)]
		g.emit(op, d, g.sOf(v.X), g.sOf(v.Y), 0)
		if t.bits < 64 {
			g.normalise(t, d, d)
		}
		return
	case token.LSS, token.LEQ, token.GTR, token.GEQ:
		x, y := v.X, v.Y
		if v.Op == token.GTR || v.Op == token.GEQ {
			x, y = y, x
		}
		op := opLtU
		if t.signed {
			op = opLtS
		}
		if v.Op == token.LEQ || v.Op == token.GEQ {
			op += opLeS - opLtS
		}
		g.emit(op, d, g.sOf(x), g.sOf(y), 0)
		return
	}
	op, ok := intOps[v.Op]
	if !ok {
		g.fail("internal: integer operator %s", v.Op)
	}
	g.emit(op, d, g.sOf(v.X), g.sOf(v.Y), 0)
	switch v.Op {
	case token.ADD, token.SUB, token.MUL:
		if t.bits < 64 {
			g.normalise(t, d, d)
		}
	}
}

// intImmediate emits an operation with a small constant.
func (g *gen) intImmediate(v *ssa.BinOp, t intType, d int32) bool {
	x, y := v.X, v.Y
	c, ok := smallInt(y)
	if !ok {
		switch v.Op {
		case token.ADD, token.MUL, token.AND, token.EQL:
			if c, ok = smallInt(x); ok {
				x = y
			}
		case token.SUB:
			if c, ok = smallInt(x); ok {
				g.emit(opRsbI, d, g.sOf(y), c, 0)
				if t.bits < 64 {
					g.normalise(t, d, d)
				}
				return true
			}
		}
	}
	if !ok || g.isConst(x) {
		return false
	}
	switch v.Op {
	case token.ADD:
		g.emit(opAddI, d, g.sOf(x), c, 0)
	case token.SUB:
		g.emit(opAddI, d, g.sOf(x), -c, 0)
	case token.MUL:
		g.emit(opMulI, d, g.sOf(x), c, 0)
	case token.AND:
		g.emit(opAndI, d, g.sOf(x), c, 0)
		return true
	case token.EQL:
		g.emit(opEqI, d, g.sOf(x), c, 0)
		return true
	case token.QUO:
		if !t.signed || c <= 0 {
			return false
		}
		g.emit(opDivSI, d, g.sOf(x), c, 0)
		return true
	case token.REM:
		if !t.signed || c <= 0 {
			return false
		}
		g.emit(opRemSI, d, g.sOf(x), c, 0)
		return true
	case token.SHL:
		if c < 0 || c > 63 {
			return false
		}
		g.emit(opShlI, d, g.sOf(x), c, 0)
	case token.SHR:
		if c < 0 || c > 63 {
			return false
		}
		op := opShrUI
		if t.signed {
			op = opShrSI
		}
		g.emit(op, d, g.sOf(x), c, 0)
		return true
	default:
		return false
	}
	if t.bits < 64 {
		g.normalise(t, d, d)
	}
	return true
}

func (g *gen) shift(v *ssa.BinOp, t intType, d int32) {
	y := g.sOf(v.Y)
	if yb := v.Y.Type().Underlying().(*types.Basic); intTypeOf(yb).signed && !g.isConst(v.Y) {
		g.emit(opShiftCheck, y, 0, 0, 0)
	}
	switch {
	case v.Op == token.SHL:
		g.emit(opShl, d, g.sOf(v.X), y, 0)
		if t.bits < 64 {
			g.normalise(t, d, d)
		}
	case t.signed:
		g.emit(opShrS, d, g.sOf(v.X), y, 0)
	default:
		g.emit(opShrU, d, g.sOf(v.X), y, 0)
	}
}

func (g *gen) floatOp(v *ssa.BinOp, single bool, d int32) {
	x, y := v.X, v.Y
	var op opcode
	switch v.Op {
	case token.ADD:
		op = opFAdd
	case token.SUB:
		op = opFSub
	case token.MUL:
		op = opFMul
	case token.QUO:
		op = opFDiv
	case token.EQL:
		op = opFEq
	case token.NEQ:
		op = opFNe
	case token.LSS:
		op = opFLt
	case token.LEQ:
		op = opFLe
	case token.GTR:
		op, x, y = opFLt, y, x
	case token.GEQ:
		op, x, y = opFLe, y, x
	}
	if single {
		if op <= opFDiv {
			op += opF32Add - opFAdd
		} else {
			op += opF32Eq - opFEq
		}
	}
	g.emit(op, d, g.sOf(x), g.sOf(y), 0)
}

func (g *gen) stringOp(v *ssa.BinOp, dst loc) {
	m := g.m
	x, y := g.at(v.X), g.at(v.Y)
	xs, xp, ys, yp, ds, dp := x.s*8, x.p*8, y.s*8, y.p*8, dst.s*8, dst.p*8
	switch v.Op {
	case token.ADD:
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			if n := *su(s, xs) + *su(s, ys); n >= largeAllocation {
				m.reserve(n)
			}
			r := makeString(*pp(p, xp), *su(s, xs)) + makeString(*pp(p, yp), *su(s, ys))
			*pp(p, dp) = unsafe.Pointer(unsafe.StringData(r))
			*su(s, ds) = uint64(len(r))
		})
	case token.EQL, token.NEQ:
		op := opStrEq
		if v.Op == token.NEQ {
			op = opStrNe
		}
		if ys/8 < 1<<16 {
			in := g.emit(op, ds, xp, xs, yp)
			in.x = uint16(ys / 8)
			return
		}
		want := v.Op == token.EQL
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			eq := makeString(*pp(p, xp), *su(s, xs)) == makeString(*pp(p, yp), *su(s, ys))
			*su(s, ds) = b2u(eq == want)
		})
	default:
		op := v.Op
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			a, b := makeString(*pp(p, xp), *su(s, xs)), makeString(*pp(p, yp), *su(s, ys))
			var r bool
			switch op {
			case token.LSS:
				r = a < b
			case token.LEQ:
				r = a <= b
			case token.GTR:
				r = a > b
			case token.GEQ:
				r = a >= b
			}
			*su(s, ds) = b2u(r)
		})
	}
}

func (g *gen) complexOp(v *ssa.BinOp, b *types.Basic, dst loc) {
	read := complexReader(b.Kind() == types.Complex64)
	write := complexWriter(b.Kind() == types.Complex64)
	x, y, d, op := g.at(v.X).s*8, g.at(v.Y).s*8, dst.s*8, v.Op
	single := b.Kind() == types.Complex64
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		a, b := read(s, x), read(s, y)
		if single {
			a64, b64 := complex64(a), complex64(b)
			switch op {
			case token.ADD:
				write(s, d, complex128(a64+b64))
				return
			case token.SUB:
				write(s, d, complex128(a64-b64))
				return
			case token.MUL:
				write(s, d, complex128(a64*b64))
				return
			case token.QUO:
				write(s, d, complex128(a64/b64))
				return
			}
		}
		switch op {
		case token.ADD:
			write(s, d, a+b)
		case token.SUB:
			write(s, d, a-b)
		case token.MUL:
			write(s, d, a*b)
		case token.QUO:
			write(s, d, a/b)
		case token.EQL:
			*su(s, d) = b2u(a == b)
		case token.NEQ:
			*su(s, d) = b2u(a != b)
		}
	})
}

func complexReader(single bool) func(s unsafe.Pointer, off int32) complex128 {
	if single {
		return func(s unsafe.Pointer, off int32) complex128 {
			return complex(float64(math.Float32frombits(uint32(*su(s, off)))), float64(math.Float32frombits(uint32(*su(s, off+8)))))
		}
	}
	return func(s unsafe.Pointer, off int32) complex128 { return complex(*sf(s, off), *sf(s, off+8)) }
}

func complexWriter(single bool) func(s unsafe.Pointer, off int32, c complex128) {
	if single {
		return func(s unsafe.Pointer, off int32, c complex128) {
			*su(s, off) = uint64(math.Float32bits(float32(real(c))))
			*su(s, off+8) = uint64(math.Float32bits(float32(imag(c))))
		}
	}
	return func(s unsafe.Pointer, off int32, c complex128) { *sf(s, off), *sf(s, off+8) = real(c), imag(c) }
}

// compareOther compares pointers, interfaces, structs, arrays, and anything
// with nil.
func (g *gen) compareOther(v *ssa.BinOp, d int32) {
	op, want := opEqP, true
	if v.Op == token.NEQ {
		op, want = opNeP, false
	}
	l := g.layout(v.X)
	switch v.X.Type().Underlying().(type) {
	case *types.Struct, *types.Array:
		g.compareMemory(v, l, d, want)
		return
	case *types.Interface:
		if isNil(v.X) || isNil(v.Y) {
			break
		}
		x, y := g.at(v.X).p*8, g.at(v.Y).p*8
		empty := isEmptyInterface(v.X.Type())
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			tx, ty := *pp(p, x), *pp(p, y)
			if !empty {
				tx, ty = abi.ItabType(tx), abi.ItabType(ty)
			}
			eq := tx == ty && abi.Any(tx, *pp(p, x+8)) == abi.Any(ty, *pp(p, y+8))
			*su(s, d) = b2u(eq == want)
		})
		return
	}
	g.emit(op, d, g.at(v.X).p*8, g.at(v.Y).p*8, 0)
}

func (g *gen) compareMemory(v *ssa.BinOp, l *layout, d int32, want bool) {
	m := g.m
	word := m.typeWord(l)
	x, y := g.at(v.X), g.at(v.Y)
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		a := m.dataWord(l, unsafe.Add(s, x.s*8), unsafe.Add(p, x.p*8))
		b := m.dataWord(l, unsafe.Add(s, y.s*8), unsafe.Add(p, y.p*8))
		*su(s, d) = b2u((abi.Any(word, a) == abi.Any(word, b)) == want)
	})
}

func isNil(v ssa.Value) bool {
	c, ok := v.(*ssa.Const)
	return ok && c.Value == nil
}
