package vm

import (
	"go/token"
	"go/types"
	"math"
	"unicode/utf8"
	"unsafe"

	"golang.org/x/tools/go/ssa"
)

func (g *gen) unop(v *ssa.UnOp) {
	switch v.Op {
	case token.MUL:
		g.load(v)
		return
	case token.ARROW:
		g.receive(v)
		return
	case token.NOT:
		g.emit(opLNot, g.dst(v).s*8, g.sOf(v.X), 0, 0)
		return
	}
	b := v.X.Type().Underlying().(*types.Basic)
	d := g.dst(v).s * 8
	switch info := b.Info(); {
	case info&types.IsInteger != 0:
		op := opNeg
		if v.Op == token.XOR {
			op = opNot
		}
		g.emit(op, d, g.sOf(v.X), 0, 0)
		if t := intTypeOf(b); t.bits < 64 {
			g.normalise(t, d, d)
		}
	case info&types.IsComplex != 0:
		x := g.sOf(v.X)
		op := opFNeg
		if b.Kind() == types.Complex64 {
			op = opF32Neg
		}
		g.emit(op, d, x, 0, 0)
		g.emit(op, d+8, x+8, 0, 0)
	case b.Kind() == types.Float32:
		g.emit(opF32Neg, d, g.sOf(v.X), 0, 0)
	default:
		g.emit(opFNeg, d, g.sOf(v.X), 0, 0)
	}
}

// convert emits a conversion between basic types, strings and slices.
func (g *gen) convert(v ssa.Value, x ssa.Value) {
	from, to := x.Type().Underlying(), v.Type().Underlying()
	fb, fromBasic := from.(*types.Basic)
	tb, toBasic := to.(*types.Basic)
	dst := g.dst(v)
	switch {
	case isUnsafe(from) || isUnsafe(to):
		g.convertUnsafe(v, x, dst)
	case fromBasic && toBasic && fb.Info()&types.IsNumeric != 0 && tb.Info()&types.IsNumeric != 0:
		g.convertNumber(fb, tb, g.at(x).s*8, dst.s*8)
	case toBasic && tb.Info()&types.IsString != 0:
		g.toString(x, from, dst)
	case fromBasic && fb.Info()&types.IsString != 0:
		g.fromString(x, to, dst)
	case isSlice(from) && isArray(to):
		g.sliceToArrayValue(x, v, dst)
	default: // the same underlying types
		if l := g.layout(v); l.nS == g.layout(x).nS && l.nP == g.layout(x).nP {
			g.into(x, dst)
			return
		}
		g.fail("internal: conversion from %s to %s", x.Type(), v.Type())
	}
}

func isSlice(t types.Type) bool { _, ok := t.(*types.Slice); return ok }

func isArray(t types.Type) bool { _, ok := t.(*types.Array); return ok }

func (g *gen) convertNumber(from, to *types.Basic, x, d int32) {
	fi, ti := from.Info(), to.Info()
	switch {
	case fi&types.IsComplex != 0:
		read, write := complexReader(from.Kind() == types.Complex64), complexWriter(to.Kind() == types.Complex64)
		g.ext(func(t *Thread, s, p unsafe.Pointer) { write(s, d, read(s, x)) })
	case fi&types.IsInteger != 0 && ti&types.IsInteger != 0:
		g.normalise(intTypeOf(to), d, x)
	case fi&types.IsInteger != 0:
		g.intToFloat(intTypeOf(from), to.Kind() == types.Float32, x, d)
	case ti&types.IsInteger != 0:
		g.floatToInt(from.Kind() == types.Float32, to, x, d)
	case from.Kind() == types.Float32 && to.Kind() != types.Float32:
		g.ext(func(t *Thread, s, p unsafe.Pointer) { *sf(s, d) = float64(*sf32(s, x)) })
	case from.Kind() != types.Float32 && to.Kind() == types.Float32:
		g.ext(func(t *Thread, s, p unsafe.Pointer) { *su(s, d) = uint64(math.Float32bits(float32(*sf(s, x)))) })
	default:
		if d != x {
			g.emit(opMovS, d, x, 0, 0)
		}
	}
}

func (g *gen) intToFloat(from intType, single bool, x, d int32) {
	switch {
	case !single && (from.signed || from.bits < 64):
		g.emit(opIntToF, d, x, 0, 0)
	case !single:
		g.emit(opUintToF, d, x, 0, 0)
	case from.signed || from.bits < 64:
		g.ext(func(t *Thread, s, p unsafe.Pointer) { *su(s, d) = uint64(math.Float32bits(float32(*si(s, x)))) })
	default:
		g.ext(func(t *Thread, s, p unsafe.Pointer) { *su(s, d) = uint64(math.Float32bits(float32(*su(s, x)))) })
	}
}

// floatToInt leaves out-of-range values to the processor, as compiled Go does.
func (g *gen) floatToInt(single bool, to *types.Basic, x, d int32) {
	if !single && (to.Kind() == types.Int || to.Kind() == types.Int64) {
		g.emit(opFToInt, d, x, 0, 0)
		return
	}
	read := func(s unsafe.Pointer) float64 { return *sf(s, x) }
	if single {
		read = func(s unsafe.Pointer) float64 { return float64(*sf32(s, x)) }
	}
	var f ext
	switch to.Kind() {
	case types.Int8:
		f = func(t *Thread, s, p unsafe.Pointer) { *si(s, d) = int64(int8(read(s))) }
	case types.Int16:
		f = func(t *Thread, s, p unsafe.Pointer) { *si(s, d) = int64(int16(read(s))) }
	case types.Int32:
		f = func(t *Thread, s, p unsafe.Pointer) { *si(s, d) = int64(int32(read(s))) }
	case types.Uint8:
		f = func(t *Thread, s, p unsafe.Pointer) { *su(s, d) = uint64(uint8(read(s))) }
	case types.Uint16:
		f = func(t *Thread, s, p unsafe.Pointer) { *su(s, d) = uint64(uint16(read(s))) }
	case types.Uint32:
		f = func(t *Thread, s, p unsafe.Pointer) { *su(s, d) = uint64(uint32(read(s))) }
	case types.Uint, types.Uint64, types.Uintptr:
		f = func(t *Thread, s, p unsafe.Pointer) { *su(s, d) = uint64(read(s)) }
	default:
		f = func(t *Thread, s, p unsafe.Pointer) { *si(s, d) = int64(read(s)) }
	}
	g.ext(f)
}

func (g *gen) toString(x ssa.Value, from types.Type, dst loc) {
	at, ds, dp := g.at(x), dst.s*8, dst.p*8
	xs, xp := at.s*8, at.p*8
	put := func(s, p unsafe.Pointer, r string) {
		*pp(p, dp) = unsafe.Pointer(unsafe.StringData(r))
		*su(s, ds) = uint64(len(r))
	}
	if b, ok := from.(*types.Basic); ok {
		if b.Info()&types.IsString != 0 {
			g.into(x, dst)
			return
		}
		unsigned := b.Info()&types.IsUnsigned != 0
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			n := *si(s, xs)
			if n != int64(rune(n)) || unsigned && n < 0 {
				n = utf8.RuneError
			}
			put(s, p, string(rune(n)))
		})
		return
	}
	switch elemType(from).Underlying().(*types.Basic).Kind() {
	case types.Uint8:
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			put(s, p, string(unsafe.Slice((*byte)(*pp(p, xp)), int(*su(s, xs)))))
		})
	default:
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			put(s, p, string(unsafe.Slice((*rune)(*pp(p, xp)), int(*su(s, xs)))))
		})
	}
}

func (g *gen) fromString(x ssa.Value, to types.Type, dst loc) {
	at, ds, dp := g.at(x), dst.s*8, dst.p*8
	xs, xp := at.s*8, at.p*8
	if elemType(to).Underlying().(*types.Basic).Kind() == types.Uint8 {
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			r := []byte(makeString(*pp(p, xp), *su(s, xs)))
			*pp(p, dp) = unsafe.Pointer(unsafe.SliceData(r))
			*su(s, ds), *su(s, ds+8) = uint64(len(r)), uint64(cap(r))
		})
		return
	}
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		r := []rune(makeString(*pp(p, xp), *su(s, xs)))
		*pp(p, dp) = unsafe.Pointer(unsafe.SliceData(r))
		*su(s, ds), *su(s, ds+8) = uint64(len(r)), uint64(cap(r))
	})
}
