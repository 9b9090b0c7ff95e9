package vm

import (
	"go/types"
	"math"
	"os"
	"strconv"
	"unsafe"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
)

// builtin emits a call of a predeclared function.
func (g *gen) builtin(v *ssa.Call, b *ssa.Builtin) {
	args := v.Call.Args
	dst := g.dst(v)
	ds, dp := dst.s*8, dst.p*8
	switch b.Name() {
	case "len", "cap":
		g.length(b.Name(), args[0], ds)
	case "append":
		g.appendCall(v, args, dst)
	case "copy":
		g.copyCall(args, ds)
	case "delete":
		g.deleteCall(args)
	case "clear":
		g.clearCall(args[0])
	case "close":
		ch := g.pOf(args[0])
		g.ext(func(t *Thread, s, p unsafe.Pointer) { t.closeChan(*pp(p, ch)) })
	case "print", "println":
		g.ext(g.printer(args, b.Name() == "println"))
	case "real", "imag":
		x := g.sOf(args[0])
		if b.Name() == "imag" {
			x += 8
		}
		g.emit(opMovS, ds, x, 0, 0)
	case "complex":
		t := loc{g.scratchS(2), 0}
		g.into(args[0], t)
		g.into(args[1], loc{t.s + 1, 0})
		g.emit(opMovSS, ds, t.s*8, 0, 0)
	case "min", "max":
		g.minMax(v, args, b.Name() == "max", dst)
	case "recover":
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			r := t.recover()
			e := abi.WordsOf(&r)
			*pp(p, dp), *pp(p, dp+8) = e.Type, e.Data
		})
	case "panic":
		x := g.pOf(args[0])
		g.ext(func(t *Thread, s, p unsafe.Pointer) { panic(abi.Any(*pp(p, x), *pp(p, x+8))) })
	case "Add", "Alignof", "Offsetof", "Sizeof", "Slice", "SliceData", "String", "StringData":
		g.unsafeBuiltin(b.Name(), args, dst)
	case "ssa:wrapnilchk":
		g.wrapNilCheck(args, dp)
	case "ssa:deferstack":
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			*pp(p, dp) = unsafe.Pointer(&deferStack{t, t.top})
		})
	default:
		g.fail("%s cannot be run in a cell", b.Name())
	}
}

func (g *gen) wrapNilCheck(args []ssa.Value, dp int32) {
	x := g.pOf(args[0])
	var typ, method string
	if c, ok := args[1].(*ssa.Const); ok {
		typ, _ = strconv.Unquote(c.Value.ExactString())
	}
	if c, ok := args[2].(*ssa.Const); ok {
		method, _ = strconv.Unquote(c.Value.ExactString())
	}
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		if *pp(p, x) == nil {
			panic(plainRuntimeError("value method " + typ + "." + method + " called using nil *" + typ[lastDot(typ)+1:] + " pointer"))
		}
		*pp(p, dp) = *pp(p, x)
	})
}

func lastDot(s string) int {
	for i := len(s) - 1; i >= 0; i-- {
		if s[i] == '.' {
			return i
		}
	}
	return -1
}

// plainRuntimeError has no "runtime error: " before its text.
type plainRuntimeError string

func (plainRuntimeError) RuntimeError() {}

func (e plainRuntimeError) Error() string { return string(e) }

func (g *gen) length(name string, x ssa.Value, ds int32) {
	at := g.at(x)
	switch u := x.Type().Underlying().(type) {
	case *types.Map:
		g.ext(func(t *Thread, s, p unsafe.Pointer) { *si(s, ds) = int64(abi.Maplen(*pp(p, at.p*8))) })
	case *types.Chan:
		if name == "len" {
			g.ext(func(t *Thread, s, p unsafe.Pointer) { *si(s, ds) = int64(abi.Chanlen(*pp(p, at.p*8))) })
		} else {
			g.ext(func(t *Thread, s, p unsafe.Pointer) { *si(s, ds) = int64(abi.Chancap(*pp(p, at.p*8))) })
		}
	case *types.Pointer:
		g.constInto(slotValues{s: []uint64{uint64(u.Elem().Underlying().(*types.Array).Len())}}, loc{ds / 8, 0})
	case *types.Array:
		g.constInto(slotValues{s: []uint64{uint64(u.Len())}}, loc{ds / 8, 0})
	default: // a slice or string that could not be an alias
		off := int32(0)
		if name == "cap" {
			off = 8
		}
		g.emit(opMovS, ds, at.s*8+off, 0, 0)
	}
}

func (g *gen) appendCall(v *ssa.Call, args []ssa.Value, dst loc) {
	el := g.m.layoutOf(elemType(v.Type()))
	word, size := g.m.typeWord(el), g.elemSize(el)
	if sl, ok := args[1].(*ssa.Slice); ok && g.appends[sl] != nil {
		g.appendElements(args[0], g.appends[sl], el, dst)
		return
	}
	x, y := g.at(args[0]), g.at(args[1])
	xs, xp, ys, yp, ds, dp := x.s*8, x.p*8, y.s*8, y.p*8, dst.s*8, dst.p*8
	m := g.m
	noPointers := !hasPointers(g.m.rtype(el))
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		old := abi.Slice{Data: *pp(p, xp), Len: int(*su(s, xs)), Cap: int(*su(s, xs+8))}
		from, n := *pp(p, yp), int(*su(s, ys))
		if uint(old.Len+n) > uint(old.Cap) {
			old = m.growSlice(word, size, old, n)
		}
		if n > 0 && size > 0 {
			at := unsafe.Add(old.Data, uintptr(old.Len)*size)
			if noPointers {
				abi.Memmove(at, from, uintptr(n)*size)
			} else {
				abi.Typedslicecopy(word, abi.Slice{Data: at, Len: n, Cap: n}, abi.Slice{Data: from, Len: n, Cap: n})
			}
		}
		*pp(p, dp) = old.Data
		*si(s, ds), *si(s, ds+8) = int64(old.Len+n), int64(old.Cap)
	})
}

// appendElements appends values that are in slots.
func (g *gen) appendElements(to ssa.Value, vals []ssa.Value, el *layout, dst loc) {
	x := g.at(to)
	xs, xp, ds, dp := x.s*8, x.p*8, dst.s*8, dst.p*8
	word, size, n, m := g.m.typeWord(el), g.elemSize(el), len(vals), g.m
	from := make([]loc, n)
	for i, v := range vals {
		at := g.at(v)
		from[i] = loc{at.s * 8, at.p * 8}
	}
	one := memKind(memBox)
	if n == 1 && len(el.comps) == 1 && size == 8 {
		one = el.comps[0].kind
	}
	first := from[0]
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		old := abi.Slice{Data: *pp(p, xp), Len: int(*su(s, xs)), Cap: int(*su(s, xs+8))}
		if uint(old.Len+n) > uint(old.Cap) {
			old = m.growSlice(word, size, old, n)
		}
		at := unsafe.Add(old.Data, uintptr(old.Len)*size)
		switch one {
		case mem64:
			*(*uint64)(at) = *su(s, first.s)
		case memPtr:
			*(*unsafe.Pointer)(at) = *pp(p, first.p)
		default:
			for i := range from {
				el.store(unsafe.Add(at, uintptr(i)*size), unsafe.Add(s, from[i].s), unsafe.Add(p, from[i].p))
			}
		}
		*pp(p, dp) = old.Data
		*si(s, ds), *si(s, ds+8) = int64(old.Len+n), int64(old.Cap)
	})
}

// growSlice makes room for n more elements.
func (m *Machine) growSlice(word unsafe.Pointer, size uintptr, old abi.Slice, n int) abi.Slice {
	if old.Len+n < 0 {
		panic(runtimeError("growslice: len out of range"))
	}
	if uint64(old.Len+n)*uint64(size) > 1<<20 {
		m.reserve(uint64(old.Len+n) * uint64(size))
	}
	return abi.Growslice(word, old, n)
}

func (g *gen) copyCall(args []ssa.Value, ds int32) {
	el := g.m.layoutOf(elemType(args[0].Type()))
	word := g.m.typeWord(el)
	x, y := g.at(args[0]), g.at(args[1])
	used := ds
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		n := min(int(*su(s, x.s*8)), int(*su(s, y.s*8)))
		if n > 0 {
			abi.Typedslicecopy(word, abi.Slice{Data: *pp(p, x.p*8), Len: n, Cap: n}, abi.Slice{Data: *pp(p, y.p*8), Len: n, Cap: n})
		}
		*si(s, used) = int64(n)
	})
}

func (g *gen) clearCall(x ssa.Value) {
	at := g.at(x)
	switch u := x.Type().Underlying().(type) {
	case *types.Map:
		word := g.m.typeWord(g.layout(x))
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			if mp := *pp(p, at.p*8); mp != nil {
				t.lockMap(mp)
				defer t.unlockMap(mp)
				abi.Mapclear(word, mp)
			}
		})
	case *types.Slice:
		word := g.m.typeWord(g.m.layoutOf(u.Elem()))
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			if n := int(*su(s, at.s*8)); n > 0 {
				abi.Typedarrayclear(word, *pp(p, at.p*8), n)
			}
		})
	}
}

// minMax folds its arguments with Go's own min and max, so that NaN and the
// signs of zero come out right.
func (g *gen) minMax(v *ssa.Call, args []ssa.Value, larger bool, dst loc) {
	b := v.Type().Underlying().(*types.Basic)
	at := make([]loc, len(args))
	for i, a := range args {
		at[i] = g.at(a)
	}
	ds, dp := dst.s*8, dst.p*8
	switch info := b.Info(); {
	case info&types.IsString != 0:
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			r := makeString(*pp(p, at[0].p*8), *su(s, at[0].s*8))
			for _, a := range at[1:] {
				if y := makeString(*pp(p, a.p*8), *su(s, a.s*8)); larger == (y > r) && y != r {
					r = y
				}
			}
			*pp(p, dp) = unsafe.Pointer(unsafe.StringData(r))
			*su(s, ds) = uint64(len(r))
		})
	case b.Kind() == types.Float32:
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			r := *sf32(s, at[0].s*8)
			for _, a := range at[1:] {
				if larger {
					r = max(r, *sf32(s, a.s*8))
				} else {
					r = min(r, *sf32(s, a.s*8))
				}
			}
			*su(s, ds) = uint64(math.Float32bits(r))
		})
	case info&types.IsFloat != 0:
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			r := *sf(s, at[0].s*8)
			for _, a := range at[1:] {
				if larger {
					r = max(r, *sf(s, a.s*8))
				} else {
					r = min(r, *sf(s, a.s*8))
				}
			}
			*sf(s, ds) = r
		})
	case info&types.IsUnsigned != 0:
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			r := *su(s, at[0].s*8)
			for _, a := range at[1:] {
				if larger {
					r = max(r, *su(s, a.s*8))
				} else {
					r = min(r, *su(s, a.s*8))
				}
			}
			*su(s, ds) = r
		})
	default:
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			r := *si(s, at[0].s*8)
			for _, a := range at[1:] {
				if larger {
					r = max(r, *si(s, a.s*8))
				} else {
					r = min(r, *si(s, a.s*8))
				}
			}
			*si(s, ds) = r
		})
	}
}

// printer returns the code of print and println, which write to stderr.
func (g *gen) printer(args []ssa.Value, line bool) ext {
	var list []func(s, p unsafe.Pointer) string
	for _, a := range args {
		at := g.at(a)
		list = append(list, printForm(a.Type(), at.s*8, at.p*8))
	}
	return func(t *Thread, s, p unsafe.Pointer) {
		var b []byte
		for i, f := range list {
			if line && i > 0 {
				b = append(b, ' ')
			}
			b = append(b, f(s, p)...)
		}
		if line {
			b = append(b, '\n')
		}
		standard{os.Stderr}.write(t.origin(), b)
	}
}

func printForm(typ types.Type, so, po int32) func(s, p unsafe.Pointer) string {
	hex := func(u uint64) string { return "0x" + strconv.FormatUint(u, 16) }
	switch u := typ.Underlying().(type) {
	case *types.Basic:
		switch info := u.Info(); {
		case info&types.IsBoolean != 0:
			return func(s, p unsafe.Pointer) string { return strconv.FormatBool(*su(s, so) != 0) }
		case info&types.IsString != 0:
			return func(s, p unsafe.Pointer) string { return makeString(*pp(p, po), *su(s, so)) }
		case info&types.IsUnsigned != 0:
			return func(s, p unsafe.Pointer) string { return strconv.FormatUint(*su(s, so), 10) }
		case info&types.IsInteger != 0:
			return func(s, p unsafe.Pointer) string { return strconv.FormatInt(*si(s, so), 10) }
		case info&types.IsComplex != 0:
			read, bits := complexReader(u.Kind() == types.Complex64), 64
			if u.Kind() == types.Complex64 {
				bits = 32
			}
			return func(s, p unsafe.Pointer) string {
				return printComplex(read(s, so), bits)
			}
		case u.Kind() == types.Float32:
			return func(s, p unsafe.Pointer) string { return printFloat(float64(*sf32(s, so)), 32) }
		case info&types.IsFloat != 0:
			return func(s, p unsafe.Pointer) string { return printFloat(*sf(s, so), 64) }
		}
	case *types.Slice:
		return func(s, p unsafe.Pointer) string {
			return "[" + strconv.FormatUint(*su(s, so), 10) + "/" + strconv.FormatUint(*su(s, so+8), 10) + "]" + hex(uint64(uintptr(*pp(p, po))))
		}
	case *types.Interface:
		return func(s, p unsafe.Pointer) string {
			return "(" + hex(uint64(uintptr(*pp(p, po)))) + "," + hex(uint64(uintptr(*pp(p, po+8)))) + ")"
		}
	}
	return func(s, p unsafe.Pointer) string { return hex(uint64(uintptr(*pp(p, po)))) }
}

// printFloat words a float as the builtin print does.
func printFloat(f float64, bits int) string {
	return strconv.FormatFloat(f, 'g', -1, bits)
}

func printComplex(c complex128, bits int) string {
	return strconv.FormatComplex(c, 'g', -1, 2*bits)
}

// captureBuiltin puts a builtin call aside for defer and go.
func (g *gen) captureBuiltin(cc *ssa.CallCommon, b *ssa.Builtin) func(t *Thread, s, p unsafe.Pointer) *deferred {
	name := b.Name()
	if name == "recover" { // its caller is the function that defers it
		return func(t *Thread, s, p unsafe.Pointer) *deferred {
			return &deferred{kind: opExt, ext: func(t *Thread, s, p unsafe.Pointer) { t.recover() }}
		}
	}
	// The arguments are moved to the window's beginning, and the builtin's
	// own code is made for that place.
	sub := &gen{allocation: &allocation{m: g.m, fn: g.fn, aliases: map[ssa.Value]alias{}, fused: map[ssa.Value]bool{},
		locs: map[ssa.Value]loc{}}, code: &code{fn: g.code.fn}, pos: g.pos}
	at := loc{}
	for _, a := range cc.Args {
		l := g.layout(a)
		g.into(a, loc{g.window.s + at.s, g.window.p + at.p})
		if !g.isConst(a) {
			sub.locs[a] = at
		}
		at.s += int32(l.nS)
		at.p += int32(l.nP)
	}
	call := &ssa.Call{Call: *cc}
	sub.nS, sub.nP = at.s+4, at.p+4
	sub.tmpS, sub.tmpP = sub.nS, sub.nP
	sub.endS, sub.endP = sub.nS+16+4*int32(len(cc.Args)), sub.nP+16+4*int32(len(cc.Args))
	sub.locs[call] = at
	g.outS = max(g.outS, int(sub.endS))
	g.outP = max(g.outP, int(sub.endP))
	sub.builtinEffect(call, b)
	exts := sub.code.exts
	consts := sub.code.ins
	ptrs := sub.code.ptrs
	nS, nP := int(at.s), int(at.p)
	room := max(sub.endS-at.s, sub.endP-at.p)
	ws, wp := g.window.s*8, g.window.p*8
	run := func(t *Thread, s, p unsafe.Pointer) {
		for i := range consts {
			switch in := &consts[i]; in.op {
			case opConst:
				*su(s, in.a) = uint64(uint32(in.c)) | uint64(uint32(in.d))<<32
			case opConstP:
				*pp(p, in.a) = ptrs[in.b]
			case opExt:
				exts[in.c](t, s, p)
			}
		}
	}
	return func(t *Thread, s, p unsafe.Pointer) *deferred {
		d := &deferred{kind: opExt, ext: run, room: room}
		d.s = append([]uint64(nil), unsafe.Slice((*uint64)(unsafe.Add(s, ws)), nS)...)
		d.p = append([]unsafe.Pointer(nil), unsafe.Slice((*unsafe.Pointer)(unsafe.Add(p, wp)), nP)...)
		return d
	}
}

// builtinEffect emits a builtin whose result nobody wants.
func (g *gen) builtinEffect(v *ssa.Call, b *ssa.Builtin) {
	switch b.Name() {
	case "delete", "close", "clear", "print", "println", "panic", "copy":
		if b.Name() == "copy" {
			g.copyCall(v.Call.Args, g.scratchS(1)*8)
			return
		}
		g.builtin(v, b)
	default:
		g.fail("defer or go of %s", b.Name())
	}
}
