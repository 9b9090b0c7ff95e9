package vm

import (
	"go/types"
	"reflect"
	"unsafe"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/rtype"
)

// smallInts saves allocating the data of interfaces that hold small numbers.
var smallInts = func() (t [1024]uint64) {
	for i := range t {
		t[i] = uint64(i)
	}
	return
}()

func (g *gen) makeInterface(v *ssa.MakeInterface) {
	l := g.layout(v.X)
	word := g.m.typeWord(l)
	first := word
	if !isEmptyInterface(v.Type()) {
		first = rtype.Itab(g.m.rtype(g.layout(v)), l.rt)
		if first == nil {
			g.fail("internal: %s does not implement %s", v.X.Type(), v.Type())
		}
	}
	d := g.dst(v).p * 8
	if c, ok := v.X.(*ssa.Const); ok { // the same data every time
		s := g.m.constSlots(c)
		data := g.m.constData(l, s)
		g.emit(opConstP, d, g.ptr(first), 0, 0)
		g.emit(opConstP, d+8, g.ptr(data), 0, 0)
		return
	}
	at := g.at(v.X)
	xs, xp := at.s*8, at.p*8
	m := g.m
	switch {
	case rtype.IsDirect(l.rt) && !l.isBox():
		if d != xp {
			g.emit(opMovP, d+8, xp, 0, 0)
			g.emit(opConstP, d, g.ptr(first), 0, 0)
			return
		}
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			data := *pp(p, xp)
			*pp(p, d), *pp(p, d+8) = first, data
		})
	case len(l.comps) == 1 && l.comps[0].kind == mem64 && l.rt.Size() == 8:
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			x := *su(s, xs)
			*pp(p, d) = first
			if x < uint64(len(smallInts)) {
				*pp(p, d+8) = unsafe.Pointer(&smallInts[x])
				return
			}
			q := new(uint64)
			*q = x
			*pp(p, d+8) = unsafe.Pointer(q)
		})
	case shape(l) == "PS" && l.rt.Kind() == reflect.String:
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			q := new(string)
			*q = makeString(*pp(p, xp), *su(s, xs))
			*pp(p, d), *pp(p, d+8) = first, unsafe.Pointer(q)
		})
	default:
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			data := m.dataWord(l, unsafe.Add(s, xs), unsafe.Add(p, xp))
			*pp(p, d), *pp(p, d+8) = first, data
		})
	}
}

// constData returns a constant as an interface's data word.
func (m *Machine) constData(l *layout, v slotValues) unsafe.Pointer {
	var s, p unsafe.Pointer
	if len(v.s) > 0 {
		s = unsafe.Pointer(&v.s[0])
	}
	if len(v.p) > 0 {
		p = unsafe.Pointer(&v.p[0])
	}
	return m.dataWord(l, s, p)
}

func (g *gen) changeInterface(v *ssa.ChangeInterface) {
	x, d := g.pOf(v.X), g.dst(v).p*8
	from, to := isEmptyInterface(v.X.Type()), isEmptyInterface(v.Type())
	lay := g.layout(v)
	g.m.typeWord(lay)
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		typ, data := *pp(p, x), *pp(p, x+8)
		if !from {
			typ = abi.ItabType(typ)
		}
		*pp(p, d), *pp(p, d+8) = itabFor(lay, to, typ), data
	})
}

func (g *gen) typeAssert(v *ssa.TypeAssert) {
	x := g.pOf(v.X)
	empty := isEmptyInterface(v.X.Type())
	from := g.m.typeWord(g.layout(v.X))
	to := g.m.layoutOf(v.AssertedType)
	word := g.m.typeWord(to)
	dst := g.dst(v)
	ds, dp := dst.s*8, dst.p*8
	okAt := int32(-1)
	if v.CommaOk {
		f := g.layout(v).fields[1]
		okAt = ds + int32(f.s)*8
	}
	m := g.m
	if refs := v.Referrers(); !v.CommaOk && len(*refs) == 0 && types.Identical(v.X.Type(), v.AssertedType) {
		g.emit(opCheck, 0, x, 0, 0) // the nil check of a method value
		return
	}
	if types.IsInterface(v.AssertedType) {
		toEmpty := isEmptyInterface(v.AssertedType)
		g.ext(func(t *Thread, s, p unsafe.Pointer) {
			typ, data := *pp(p, x), *pp(p, x+8)
			if !empty {
				typ = abi.ItabType(typ)
			}
			first := itabFor(to, toEmpty, typ)
			if first == nil {
				if okAt < 0 {
					missing := ""
					if typ != nil {
						missing = missingMethod(to.rt, rtype.FromPtr(typ))
					}
					panic(newTypeAssertionError(nil, typ, word, missing))
				}
				data = nil
			}
			*pp(p, dp), *pp(p, dp+8) = first, data
			if okAt >= 0 {
				*su(s, okAt) = b2u(first != nil)
			}
		})
		return
	}
	g.ext(func(t *Thread, s, p unsafe.Pointer) {
		typ, data := *pp(p, x), *pp(p, x+8)
		if !empty {
			typ = abi.ItabType(typ)
		}
		if typ != word {
			if okAt < 0 {
				panic(newTypeAssertionError(from, typ, word, ""))
			}
			to.clear(unsafe.Add(s, ds), unsafe.Add(p, dp))
			*su(s, okAt) = 0
			return
		}
		m.loadWord(to, data, unsafe.Add(s, ds), unsafe.Add(p, dp))
		if okAt >= 0 {
			*su(s, okAt) = 1
		}
	})
}

// missingMethod names the first method of inter that t lacks.
func missingMethod(inter, t reflect.Type) string {
	for i := range inter.NumMethod() {
		name := inter.Method(i).Name
		if _, ok := t.MethodByName(name); !ok {
			return name
		}
	}
	return ""
}

// itabFor returns the first word of an interface that holds a typ.
func itabFor(inter *layout, empty bool, typ unsafe.Pointer) unsafe.Pointer {
	if empty || typ == nil {
		return typ
	}
	return rtype.Itab(inter.rt, rtype.FromPtr(typ))
}
